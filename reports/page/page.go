package page

import (
	"errors"
	"fmt"
	"html/template"
	"strings"

	"github.com/brinemark/brinemark/reports/typeset"
)

// Page is one page.
type Page struct {
	// Title is the page's own heading, and the name of its window.
	Title string
	// Lead is a sentence or two below the title; "" for none.
	Lead string
	// Blocks are the page in reading order.
	Blocks []Block
	// Foot are the last lines, in small print.
	Foot []string
	// Style is added to the common style. It is the project's, never a user's.
	Style template.CSS
	// Bare leaves out the title and the lead on paper and on the screen (they
	// stay for those who hear the page): for labels.
	Bare bool
	// Dense saves paper: small print, facts side by side, and tables that go on
	// over the end of a sheet. For long reports.
	Dense bool
}

// Class are the names by which the style knows the page.
func (p *Page) Class() string {
	class := ""
	if p.Bare {
		class = "bare"
	}
	if p.Dense {
		class += " dense"
	}
	return strings.TrimSpace(class)
}

// Block is a part of a page: a [Heading], [Text], [Facts], [Table], [List],
// [Notice], [Picture], [Beside] or [Raw].
type Block interface {
	// kind is the name of the block's template.
	kind() string
	check() error
}

// Heading begins a section.
type Heading struct {
	Level int    // 2 to 4: the title of the page is 1
	Text  string //
	Note  string // in small print beside it; "" for none
}

// Text is a paragraph.
type Text struct{ Text string }

// Cell is a text in a table or a list of facts.
type Cell struct {
	Text string
	Mark Mark
	// Link is a file beside the page, such as "meter-P1.html"; "" for none.
	Link string
	// Blank leaves room for a pen after the text.
	Blank bool
}

// Cells makes cells of texts.
func Cells(texts ...string) []Cell {
	list := make([]Cell, len(texts))
	for i, t := range texts {
		list[i].Text = t
	}
	return list
}

// Fact is a value with its name.
type Fact struct {
	Name  string
	Value Cell
}

// Facts are values with their names, one a line.
type Facts struct{ List []Fact }

// Add appends a fact.
func (f *Facts) Add(name, value string) { f.List = append(f.List, Fact{name, Cell{Text: value}}) }

// Column is a column of a table.
type Column struct {
	Name   string
	Unit   string // below the name; "" for none
	Number bool   // its cells are set to the right
	Whole  bool   // its cells are not broken where there is room, such as dates
}

// Head is the name and the unit on one line.
func (c Column) Head() string {
	if c.Unit == "" {
		return c.Name
	}
	return c.Name + ", " + c.Unit
}

// SetHead is the head with its unit as people write it.
func (c Column) SetHead() string {
	c.Unit = typeset.Unit(c.Unit)
	return c.Head()
}

// Class are the names by which the style knows a cell of the column.
func (c Column) Class() string {
	switch {
	case c.Number:
		return "number"
	case c.Whole:
		return "whole"
	}
	return ""
}

// Table is a table. The first cell of a row is the row's head.
type Table struct {
	Caption string
	Columns []Column
	Rows    [][]Cell
	// Blank is for a table to be filled in with a pen: all its lines are
	// drawn.
	Blank bool
}

// Row appends a row of plain cells.
func (t *Table) Row(texts ...string) { t.Rows = append(t.Rows, Cells(texts...)) }

// shortTable is how many rows a table has that is not cut at the end of a sheet,
// but for that of a dense page. Others are cut between rows, and repeat their
// heads.
const shortTable = 14

// fewRows is how many rows a table has that is never cut.
const fewRows = 6

// Class are the names by which the style knows the table.
func (t Table) Class() string {
	class := ""
	if len(t.Rows) <= shortTable {
		class = "short"
	}
	if len(t.Rows) <= fewRows && !t.Blank {
		class += " few"
	}
	switch {
	case t.Blank:
		class += " blank"
	case len(t.Columns) > 2:
		class += " cards"
	}
	return class
}

// List is a list of texts.
type List struct {
	Numbered bool
	Items    []string
}

// Notice is a paragraph that must not be overlooked.
type Notice struct {
	Mark Mark
	Text string
}

// Picture is a drawing as one SVG document.
type Picture struct {
	SVG     []byte
	Caption string // below it; "" for none
	About   string // says what it shows to those who cannot see it
	// Themed says that its colours are custom properties, which follow the page's
	// into the dark, and that its letters can be read on a phone.
	Themed bool
}

// Raw is HTML made by a template of the project; Text stands for it where there
// is no HTML.
type Raw struct {
	HTML template.HTML
	Text string
}

func (Heading) kind() string { return "heading" }
func (Text) kind() string    { return "text" }
func (Facts) kind() string   { return "facts" }
func (Table) kind() string   { return "table" }
func (List) kind() string    { return "list" }
func (Notice) kind() string  { return "notice" }
func (Picture) kind() string { return "picture" }
func (Beside) kind() string  { return "beside" }
func (Raw) kind() string     { return "raw" }

func (h Heading) check() error {
	if h.Text == "" {
		return errors.New("a heading without words")
	}
	return nil
}
func (Text) check() error   { return nil }
func (Facts) check() error  { return nil }
func (List) check() error   { return nil }
func (Notice) check() error { return nil }
func (Raw) check() error    { return nil }

func (t Table) check() error {
	if t.Caption == "" || len(t.Columns) == 0 {
		return fmt.Errorf("table %q with %d columns: it needs a caption and a head", t.Caption, len(t.Columns))
	}
	for i, row := range t.Rows {
		if len(row) != len(t.Columns) {
			return fmt.Errorf("table %q, row %d: %d cells for %d columns", t.Caption, i+1, len(row), len(t.Columns))
		}
	}
	return nil
}

func (p Picture) check() error {
	if p.About == "" {
		return errors.New("a picture without words for those who cannot see it")
	}
	_, err := p.Drawing()
	return err
}

// check finds what would make the page hard to use for somebody.
func (p *Page) check() error {
	if p.Title == "" {
		return errors.New("page without a title")
	}
	level := 1
	for _, b := range Flat(p.Blocks) {
		if err := b.check(); err != nil {
			return fmt.Errorf("page %q: %w", Short(p.Title), err)
		}
		if h, ok := b.(Heading); ok {
			if h.Level < 2 || h.Level > 4 || h.Level > level+1 {
				return fmt.Errorf("page %q: heading %q of level %d after one of level %d", Short(p.Title), Short(h.Text), h.Level, level)
			}
			level = h.Level
		}
	}
	return nil
}
