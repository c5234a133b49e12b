package page

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"strings"
	"sync"
)

// Markdown writes the page as Markdown (GitHub's, for its tables) in UTF-8.
// Pictures are told in words. Errors as for [Page.HTML].
func (p *Page) Markdown(w io.Writer) error {
	if err := p.check(); err != nil {
		return err
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "# %s\n", within(p.Title))
	if p.Lead != "" {
		fmt.Fprintf(&b, "\n%s\n", markdown(p.Lead))
	}
	for _, block := range Flat(p.Blocks) {
		writeMarkdown(&b, block)
	}
	for _, line := range p.Foot {
		fmt.Fprintf(&b, "\n%s\n", markdown(line))
	}
	_, err := w.Write(b.Bytes())
	return err
}

func writeMarkdown(b *bytes.Buffer, block Block) {
	b.WriteByte('\n')
	switch block := block.(type) {
	case Heading:
		fmt.Fprintf(b, "%s %s\n", strings.Repeat("#", block.Level), within(block.Text))
		if block.Note != "" {
			fmt.Fprintf(b, "\n%s\n", markdown("("+block.Note+")"))
		}
	case Text:
		fmt.Fprintf(b, "%s\n", markdown(block.Text))
	case Facts:
		for _, f := range block.List {
			fmt.Fprintf(b, "- **%s**: %s\n", within(f.Name), f.Value.markdown())
		}
	case Table:
		block.writeMarkdown(b)
	case List:
		for i, item := range block.Items {
			lead := "-"
			if block.Numbered {
				lead = fmt.Sprintf("%d.", i+1)
			}
			fmt.Fprintf(b, "%s %s\n", lead, markdown(item))
		}
	case Notice:
		fmt.Fprintf(b, "> %s\n", markdown(block.Text))
	case Picture:
		fmt.Fprintf(b, "Picture: %s\n", within(block.About))
	case Raw:
		fmt.Fprintf(b, "%s\n", markdown(block.Text))
	}
}

func (t Table) writeMarkdown(b *bytes.Buffer) {
	fmt.Fprintf(b, "**%s**\n\n|", within(t.Caption))
	for _, c := range t.Columns {
		fmt.Fprintf(b, " %s |", within(c.Head()))
	}
	b.WriteString("\n|")
	for _, c := range t.Columns {
		if c.Number {
			b.WriteString(" ---: |")
		} else {
			b.WriteString(" --- |")
		}
	}
	b.WriteByte('\n')
	for _, row := range t.Rows {
		b.WriteByte('|')
		for _, cell := range row {
			fmt.Fprintf(b, " %s |", cell.markdown())
		}
		b.WriteByte('\n')
	}
}

func (c Cell) markdown() string {
	text := within(c.Text)
	if c.Mark != NoMark && text != "" {
		text = "**" + text + "**"
	}
	if c.Link != "" {
		text = "[" + text + "](" + c.Link + ")"
	}
	return text
}

// inMarkdown are the characters that mean something anywhere on a line, with
// what shows them. Those of HTML become entities, which no reader takes for it.
var inMarkdown = strings.NewReplacer(
	`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "|", `\|`, "~", `\~`, "$", `\$`,
	"<", "&lt;", ">", "&gt;", "&", "&amp;", "://", `\://`, "www.", `www\.`, "@", `\@`,
)

// atStart is what means something at the beginning of a line.
var atStart = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(?:[-+](?:\s|$)|--|[#=]|\d+[.)](?:\s|$))`)
})

// within escapes a text that stands within a line.
func within(text string) string {
	return strings.Join(strings.Fields(inMarkdown.Replace(Words(text))), " ")
}

// markdown escapes a text that begins a line, and keeps it on it.
func markdown(text string) string {
	return atStart().ReplaceAllStringFunc(within(text), func(found string) string {
		at := strings.IndexAny(found, "-+#=.)")
		return found[:at] + `\` + found[at:]
	})
}
