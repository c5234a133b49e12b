package reports

import (
	"fmt"
	"html/template"
	"io"
	"strings"

	"github.com/brinemark/brinemark/reports/page"
	"github.com/brinemark/brinemark/reports/typeset"
)

// sheetStyle makes room for a pen. %s is the paper.
const sheetStyle = `
@page { size: %s; margin: 12mm 12mm 14mm; }
.lead { font-size: 1rem; }
.byhand { display: grid; grid-template-columns: repeat(auto-fit, minmax(9.5rem, 1fr)); gap: 1.2rem 1.5rem; margin: 1.2rem 0; }
.byhand span { border-bottom: 1px solid var(--ink); min-height: 1.8rem; color: var(--soft); }
table.blank { table-layout: fixed; width: calc(100%% - 2px); }
.blank caption { font-size: 1.15rem; }
.blank thead th { overflow-wrap: anywhere; }
.blank thead th:first-child { width: 31%%; }
.blank tbody td, .blank tbody th { height: 3.6rem; }
.blank tbody td { color: var(--soft); font-size: 0.8rem; }
@media screen and (max-width: 40rem) { /* a bottle is a card, with a line for each meter */
	table.blank, .blank > caption, .blank > tbody, .blank > tbody > tr { display: block; width: auto; }
	.blank > thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%%); }
	.blank > tbody > tr { border: 1px solid var(--rule); border-radius: 4px; padding: 0.3em 0.7em; margin: 0.5em 0; }
	.blank tbody th, .blank tbody td { display: grid; grid-template-columns: 8rem minmax(0, 1fr); gap: 0 0.7rem; border: 0; height: auto; padding: 0.15em 0; }
	.blank tbody th { display: block; }
	.blank tbody td::before { content: attr(data-head); color: var(--soft); }
}
@media print {
	.blank tbody td, .blank tbody th { height: 15mm; } .byhand { grid-template-columns: 1fr 1fr; gap: 3mm 8mm; margin: 3mm 0; } .byhand span { min-height: 8mm; }
	ol, ul { font-size: 9pt; margin: 0.3em 0 0.5em; } li { margin: 0.12em 0; } h2 { margin-top: 0.9em; } }
`

// penFields are what a person writes at the head of the sheet.
const penFields = `<div class="byhand"><span>Date</span><span>By</span><span>Thermometer, and its ± in °C</span><span>Meters as found / as left</span></div>`

// mostAcross is how many meters stand side by side on one sheet of paper.
const mostAcross = 5

// WriteHTML writes the sheet as a page.
func (r *BenchSheet) WriteHTML(w io.Writer) error {
	lead := "Bottles down, meters across: write what each meter shows, and beside it the temperature of the liquid and the time."
	if x, ok := r.TempC.Get(); ok {
		lead += fmt.Sprintf(" In grey: what a meter without error shows at %s\u00a0°C, ± one standard uncertainty%s.", asTyped(x), r.leftOut())
	}
	p := page.Page{Title: "Bench sheet", Lead: lead, Style: template.CSS(fmt.Sprintf(sheetStyle, r.paper))}
	p.Blocks = append(p.Blocks, page.Raw{HTML: penFields, Text: "Date ____ By ____ Thermometer ____ Meters as found / as left"})
	p.Blocks = append(p.Blocks, page.Notice{Mark: page.Open, Text: "Reference solutions and buffers are not for drinking, dosing or feeding: keep them from children and pets, and out of the tub. Keep mains leads, chargers and pumps away from the wet bench."})
	for _, part := range r.Parts {
		p.Blocks = append(p.Blocks, part.blocks()...)
	}
	p.Blocks = append(p.Blocks, page.Heading{Level: 2, Text: "How"}, page.List{Numbered: true, Items: r.steps()},
		page.Heading{Level: 2, Text: "Afterwards"}, page.List{Items: r.commands()})
	return p.HTML(w)
}

// leftOut says that an uncertainty does not have the temperature's in it, where
// nobody stated that.
func (r *BenchSheet) leftOut() string {
	if r.UTempC.IsKnown() {
		return ""
	}
	return ", the temperature's left out"
}

// blocks are the tables of a part, each with as many meters as stand side by side.
func (p SheetPart) blocks() (out []page.Block) {
	title := "Conductivity"
	if p.Quantity == "ph" {
		title = "pH"
	}
	tables := (len(p.Meters) + mostAcross - 1) / mostAcross
	for n := range tables { // as many across in each, near enough
		from, to := n*len(p.Meters)/tables, (n+1)*len(p.Meters)/tables
		t := page.Table{Blank: true, Caption: title, Columns: []page.Column{{Name: "Bottle"}}}
		if len(p.Meters) > mostAcross {
			t.Caption += fmt.Sprintf(", meters %d to %d of %d", from+1, to, len(p.Meters))
		}
		for _, m := range p.Meters[from:to] {
			t.Columns = append(t.Columns, page.Column{Name: page.Name(page.Short(m.Meter)), Unit: typeset.Unit(wordOrEmpty(m.Unit))})
		}
		t.Columns = append(t.Columns, page.Column{Name: "Temp.", Unit: "°C"}, page.Column{Name: "Time"})
		for i, b := range p.Bottles {
			row := []string{b.onSheet(p.past[b.Bottle])}
			for j := range p.Meters[from:to] {
				row = append(row, p.expected(i, from+j))
			}
			t.Row(append(row, "", "")...)
		}
		out = append(out, t)
	}
	return out
}

// onSheet is a bottle in the margin of the sheet.
func (e BottleEntry) onSheet(past bool) string {
	text := page.Name(page.Short(e.Bottle)) + ": " + together(typeset.Text(e.what())) + "; " + together(typeset.Text(e.worth())) + " at\u00a025\u00a0°C"
	if e.BestBefore != nil {
		text += "; good\u00a0until\u00a0" + strings.ReplaceAll(*e.BestBefore, "-", "\u2011") // no line ends within
	}
	if past {
		text += ", PAST\u00a0ITS\u00a0DATE"
	}
	return text
}

// expected is what stands in a cell before it is filled in.
func (p SheetPart) expected(bottle, meter int) string {
	if len(p.Expected) == 0 {
		return ""
	}
	cell := p.Expected[bottle*len(p.Meters)+meter]
	if !cell.Display.IsKnown() {
		return ""
	}
	value, u := Round(numberOrZero(cell.Display), cell.UDisplay)
	switch u {
	case unknown:
		return value + ", ±\u00a0unknown"
	case "0":
		return value
	}
	return value + " ±\u00a0" + u
}

// steps are how to fill the sheet in.
func (r *BenchSheet) steps() []string {
	return []string{
		"Let bottles, meters and thermometer come to the temperature of the room.",
		"Rinse a clean cup and the probe with a little of the solution, throw that away, and pour a fresh portion. Go from the weakest bottle to the strongest; between buffers, rinse with water and dab dry.",
		"Stir, wait until the reading stands still, and write down what the display shows, the temperature of the liquid, and the time.",
		"Throw the portion away; never pour it back. Close the bottle at once.",
		"Type the readings into the table: columns " + strings.Join(SheetColumns(), ", ") + "; one reading a row; the time with its date, as in 2026-03-01 18:02. Rows that were not read may stay as they are.",
	}
}

// commands are what is done with the table of each part.
func (r *BenchSheet) commands() (out []string) {
	for i, part := range r.Parts {
		file := "readings.csv"
		if i < len(r.CSV) {
			file = r.CSV[i]
		}
		for _, m := range part.Meters {
			out = append(out, page.Name("brinemark calibrate "+ShellWord(file)+" --meter "+ShellWord(m.Meter)+" --save"))
		}
		for _, group := range part.alike() {
			line := "brinemark compare " + ShellWord(file)
			if len(group) < len(part.Meters) {
				for _, name := range group {
					line += " --meter " + ShellWord(name)
				}
			}
			out = append(out, page.Name(line+" --save"))
		}
	}
	return out
}

// alike are the names of meters that show the same, in groups of two or more: only
// their readings can be compared as they are.
func (p SheetPart) alike() (groups [][]string) {
	type display struct{ unit, factor string }
	at := map[display][]string{}
	var order []display
	for _, m := range p.Meters {
		factor, _ := m.PPMFactor.Get()
		d := display{wordOrEmpty(m.Unit), asTyped(factor)}
		if at[d] == nil {
			order = append(order, d)
		}
		at[d] = append(at[d], m.Meter)
	}
	for _, d := range order {
		if len(at[d]) > 1 {
			groups = append(groups, at[d])
		}
	}
	return groups
}
