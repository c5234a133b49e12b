package page

import (
	"bytes"
	_ "embed" // the template and the style
	"fmt"
	"html/template"
	"io"
	"sync"

	"github.com/brinemark/brinemark/reports/typeset"
)

//go:embed page.css
var commonStyle string

//go:embed page.html
var pageHTML string

// pageTemplate is read when the first page is written: a command that writes
// none does not wait for it.
var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page").Funcs(pageFuncs).Parse(pageHTML))
})

var pageFuncs = template.FuncMap{
	"kind":   func(b Block) string { return b.kind() },
	"spans":  func(text string) []Span { return Spans(typeset.Text(text)) },
	"unit":   typeset.Unit,
	"words":  func(text string) string { return Words(typeset.Text(text)) },
	"short":  func(text string) string { return Short(Words(text)) },
	"common": func() template.CSS { return template.CSS(commonStyle) },
	"under":  under,
}

// headed is a cell with its column, which names it on a phone.
type headed struct {
	Cell
	Column Column
	First  bool
}

func under(list []Cell, columns []Column) []headed {
	out := make([]headed, len(list))
	for i, c := range list {
		out[i] = headed{c, columns[i], i == 0}
	}
	return out
}

// HTML writes the page as one HTML document in UTF-8. A page that somebody
// could not use (see the package comment) is an error, and then nothing is
// written.
func (p *Page) HTML(w io.Writer) error {
	if err := p.check(); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := pageTemplate().Execute(&b, p); err != nil {
		return fmt.Errorf("write the page: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}
