package reports

import (
	"fmt"
	"io"
	"strings"

	"github.com/brinemark/brinemark/reports/page"
)

// writePage writes a page for a screen: the same blocks as in a browser, with
// pictures told in words.
func writePage(w io.Writer, s Style, p *page.Page) error {
	if err := Paragraph(w, s, "", s.Bold(page.Words(p.Title))); err != nil {
		return err
	}
	if p.Lead != "" {
		if err := Paragraph(w, s, "", page.Words(p.Lead)); err != nil {
			return err
		}
	}
	blocks := page.Flat(p.Blocks)
	for i, block := range blocks {
		// What stands under a heading of its own follows it at once.
		if _, under := before(blocks, i).(page.Heading); !under || isHeading(block) {
			if _, err := io.WriteString(w, "\n"); err != nil {
				return err
			}
		}
		if err := writeBlock(w, s, block); err != nil {
			return err
		}
	}
	for _, line := range p.Foot {
		if err := Paragraph(w, s, "\n", page.Words(line)); err != nil {
			return err
		}
	}
	return nil
}

func before(blocks []page.Block, i int) page.Block {
	if i == 0 {
		return nil
	}
	return blocks[i-1]
}

func isHeading(b page.Block) bool {
	_, ok := b.(page.Heading)
	return ok
}

func writeBlock(w io.Writer, s Style, block page.Block) error {
	switch block := block.(type) {
	case page.Heading:
		_, err := io.WriteString(w, s.Bold(s.Clean(page.Words(block.Text)))+"\n")
		return err
	case page.Text:
		return Paragraph(w, s, "", page.Words(block.Text))
	case page.Notice:
		return Paragraph(w, s, "", page.Words(block.Text))
	case page.Facts:
		var f Fields
		for _, fact := range block.List {
			f.Add(page.Words(fact.Name), s.cell(fact.Value))
		}
		return f.Write(w, s)
	case page.List:
		for i, item := range block.Items {
			lead := "- "
			if block.Numbered {
				lead = fmt.Sprintf("%d. ", i+1)
			}
			if err := Paragraph(w, s, lead, page.Words(item)); err != nil {
				return err
			}
		}
	case page.Table:
		return writePageTable(w, s, block)
	case page.Picture:
		return Paragraph(w, s, "Picture: ", page.Words(block.About))
	case page.Raw:
		return Paragraph(w, s, "", page.Words(block.Text))
	}
	return nil
}

// cell is a cell with the colour of its verdict.
func (s Style) cell(c page.Cell) string {
	text := s.Clean(page.Words(c.Text))
	if c.Blank {
		text = strings.TrimSpace(text + " ____________________")
	}
	if c.Mark == page.NoMark || text == "" {
		return text
	}
	return s.Verdict(text)
}

func writePageTable(w io.Writer, s Style, t page.Table) error {
	if err := Paragraph(w, s, "", page.Words(t.Caption)); err != nil {
		return err
	}
	var columns []Column
	for _, c := range t.Columns {
		columns = append(columns, Column{Name: page.Words(c.Name), Unit: page.Words(c.Unit), Text: !c.Number})
	}
	out := NewTable(columns...)
	for _, row := range t.Rows {
		var cells []string
		for _, c := range row {
			cells = append(cells, s.cell(c))
		}
		out.Row(cells...)
	}
	return out.Write(w, s)
}
