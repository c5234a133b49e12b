package reports

import (
	"io"
	"math"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// Column is the head of one column of a [Table].
type Column struct {
	Name string
	Unit string // in ASCII, such as "uS/cm"; written under the name; "" for none
	Text bool   // words: set to the left, and wrapped when the table is too wide
}

// Table collects rows of text that is already rounded, and writes them
// aligned: words to the left, numbers to the right, units in the head, no
// frame, within the width of the screen where its words can be wrapped so far.
type Table struct {
	columns []Column
	rows    [][]string
}

// NewTable starts a table with its columns.
func NewTable(columns ...Column) *Table { return &Table{columns: columns} }

// Row adds a row, one cell for each column; missing cells stay empty and cells
// beyond the last column are dropped.
func (t *Table) Row(cells ...string) {
	row := make([]string, len(t.columns))
	copy(row, cells)
	t.rows = append(t.rows, row)
}

// gap is the space between two columns.
const gap = "  "

// Squeezing a table into the screen goes in steps, each only where the one before
// was not enough. Columns of words go down to narrowest; then those of short words
// to their longest word or to tightest; then those of words that are torn anyway to
// tightest; then columns of numbers, with their heads, to their longest part,
// "1.2 ± 0.3" above "mg/L"; and at last all columns of words to tightest.
const (
	narrowest = 14
	tightest  = 8
	squeezes  = 5
)

// Write renders the table. A table without rows writes its head alone.
func (t *Table) Write(w io.Writer, s Style) error {
	out := table.NewWriter()
	out.SetStyle(plainLook())
	head := make(table.Row, len(t.columns))
	var configs []table.ColumnConfig
	t = t.clean(s)
	widths := t.widths(s.width())
	for i, c := range t.columns {
		head[i] = s.boldLines(c.head())
		config := table.ColumnConfig{Number: i + 1, Align: text.AlignRight, AlignHeader: text.AlignRight,
			VAlignHeader: text.VAlignTop}
		if c.Text {
			config.Align, config.AlignHeader = text.AlignLeft, text.AlignLeft
		}
		config.WidthMax, config.WidthMaxEnforcer = widths[i], wrap
		configs = append(configs, config)
	}
	out.SetColumnConfigs(configs)
	out.AppendHeader(head)
	for _, row := range t.rows {
		cells := make(table.Row, len(row))
		for i, cell := range row {
			if cells[i] = cell; !t.columns[i].Text {
				cells[i] = glued(cell)
			}
		}
		out.AppendRow(cells)
	}
	return writeTrimmed(w, strings.ReplaceAll(out.Render(), glue, " "))
}

// glue is a blank that is no place to break a line: a value stays with its
// uncertainty.
const glue = "\u00a0"

func glued(cell string) string { return strings.ReplaceAll(cell, " ± ", glue+"±"+glue) }

// clean is the table without what would command the screen.
func (t *Table) clean(s Style) *Table {
	out := NewTable()
	for _, c := range t.columns {
		c.Name, c.Unit = s.cleanLine(c.Name), s.cleanLine(c.Unit)
		out.columns = append(out.columns, c)
	}
	for _, row := range t.rows {
		var cells []string
		for _, cell := range row {
			cells = append(cells, s.cleanLine(cell))
		}
		out.rows = append(out.rows, cells)
	}
	return out
}

// head is the name with its unit on a line below, where a column has one.
func (c Column) head() string {
	if c.Unit == "" {
		return c.Name
	}
	return c.Name + "\n" + c.Unit
}

// widths gives each column's width: what its longest line needs, and less for
// columns of words, the widest first, until the table fits.
func (t *Table) widths(screen int) []int {
	widths := make([]int, len(t.columns))
	total := len(gap) * max(0, len(t.columns)-1)
	for i, c := range t.columns {
		widths[i] = text.LongestLineLen(c.head())
		for _, row := range t.rows {
			widths[i] = max(widths[i], text.LongestLineLen(row[i]))
		}
		total += widths[i]
	}
	for squeeze := range squeezes {
		least := make([]int, len(t.columns))
		for i := range t.columns {
			least[i] = t.least(i, squeeze)
		}
		for total > screen {
			widest := -1
			for i := range t.columns {
				if widths[i] > least[i] && (widest < 0 || widths[i] > widths[widest]) {
					widest = i
				}
			}
			if widest < 0 {
				break
			}
			widths[widest]--
			total--
		}
	}
	return widths
}

// least is the least width of a column in a step of squeezing.
func (t *Table) least(i, squeeze int) int {
	longest := 0 // of its words
	for _, row := range t.rows {
		cell := row[i]
		if !t.columns[i].Text {
			cell = glued(cell)
		}
		for _, word := range strings.Split(cell, " ") {
			longest = max(longest, columnsOf(word))
		}
	}
	if !t.columns[i].Text {
		if squeeze < 3 {
			return math.MaxInt
		}
		for _, word := range strings.Fields(t.columns[i].head()) {
			longest = max(longest, columnsOf(word))
		}
		return longest
	}
	switch {
	case squeeze == 0:
		return narrowest
	case squeeze == squeezes-1, squeeze > 1 && longest > narrowest:
		return tightest
	}
	return min(max(longest, tightest), narrowest)
}

// plainLook has no frame: two blanks between columns and a rule under the head.
func plainLook() table.Style {
	return table.Style{
		Name:    "plain",
		Box:     table.BoxStyle{MiddleHorizontal: "-", MiddleSeparator: "-", MiddleVertical: " ", PaddingRight: " "},
		Format:  table.FormatOptions{Header: text.FormatDefault, Row: text.FormatDefault},
		Options: table.Options{SeparateHeader: true, SeparateColumns: true},
	}
}

// boldLines makes every line of a head bold.
func (s Style) boldLines(head string) string {
	lines := strings.Split(head, "\n")
	for i, line := range lines {
		lines[i] = s.Bold(line)
	}
	return strings.Join(lines, "\n")
}

// writeTrimmed writes the lines without blanks at their ends, and the rule
// under the head without its part below the blank after the last column.
func writeTrimmed(w io.Writer, rendered string) error {
	var b strings.Builder
	for _, line := range strings.Split(rendered, "\n") {
		if line != "" && strings.Trim(line, "-") == "" {
			line = line[1:]
		}
		b.WriteString(strings.TrimRight(line, " "))
		b.WriteByte('\n')
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// Fields are labelled values, one a line, with the values aligned. A long
// value is wrapped below itself.
type Fields struct {
	labels, values []string
}

// Add appends a line.
func (f *Fields) Add(label, value string) {
	f.labels = append(f.labels, label)
	f.values = append(f.values, value)
}

// Write renders the lines.
func (f *Fields) Write(w io.Writer, s Style) error {
	longest := 0
	labels := make([]string, len(f.labels))
	for i, label := range f.labels {
		labels[i] = s.cleanLine(label)
		longest = max(longest, columnsOf(labels[i]))
	}
	for i, label := range labels {
		if err := Paragraph(w, s, text.Pad(label, longest, ' ')+gap, f.values[i]); err != nil {
			return err
		}
	}
	return nil
}
