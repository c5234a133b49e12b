package reports

import (
	"fmt"
	"html/template"
	"io"
	"strings"

	"github.com/brinemark/brinemark/reports/page"
)

// labelStyle lays one drawing on each sheet, at its true size on paper and as
// wide as the window on a screen. %s are the paper's width and height.
const labelStyle = `
@page { size: %[1]gmm %[2]gmm; margin: 0; }
.sheet > svg { display: block; width: 100%%; max-width: %[1]gmm; height: auto; margin: 0 0 1rem; outline: 1px solid var(--rule); }
@media print {
	.how, .bare > header { display: none; }
	main { margin: 0; }
	.sheet { width: %[1]gmm; height: calc(%[2]gmm - 0.2mm); overflow: hidden; break-after: page; break-inside: avoid; }
	.sheet:last-child { break-after: auto; }
	.sheet > svg { width: %[1]gmm; height: %[2]gmm; max-width: none; margin: 0; outline: 0; }
}
`

// WriteHTML writes the sheets as one page.
func (r *Labels) WriteHTML(w io.Writer) error {
	p := page.Page{
		Title: "Labels for bottles",
		Bare:  true,
		Style: template.CSS(fmt.Sprintf(labelStyle, r.paper.WidthMM, r.paper.HeightMM)),
		Blocks: []page.Block{page.Raw{
			HTML: template.HTML(fmt.Sprintf(`<p class="how">Print on %s at 100 %%, without margins and without headers. A label is %s by %s mm.</p>`,
				r.Paper, asTyped(r.WidthMM), asTyped(r.HeightMM))),
		}},
	}
	for _, sheet := range r.sheets {
		var b strings.Builder
		if err := sheet.WriteSVG(&b); err != nil {
			return err
		}
		p.Blocks = append(p.Blocks, page.Raw{HTML: template.HTML(`<div class="sheet">` + "\n" + b.String() + "</div>")})
	}
	return p.HTML(w)
}
