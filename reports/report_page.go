package reports

import (
	"fmt"
	"html/template"
	"io"
	"strings"

	"github.com/brinemark/brinemark/reports/page"
	"github.com/brinemark/brinemark/reports/picture"
	"github.com/brinemark/brinemark/reports/typeset"
)

// clause is a place in ISO/IEC 17025:2017, whose list of contents the report
// follows in its order.
func clause(place string) string { return "ISO/IEC 17025, " + place }

// Page is the report as a page: for a browser, for paper, as Markdown.
func (r *Report) Page() (*page.Page, error) {
	b := &pageBuilder{}
	b.add(page.Notice{Mark: page.Verdict(r.State), Text: "Today: " + r.StateText}, page.Notice{Text: r.Statement})
	b.identity(r)
	b.method(r)
	b.meter(r)
	b.dates(r)
	b.results(r)
	b.conditions(r)
	b.bottles(r)
	b.adjustments(r)
	b.conformity(r)
	b.opinions(r)
	b.rest(r)
	return &page.Page{
		Title:  "Calibration report: meter " + page.Name(page.Short(r.Meter)),
		Blocks: b.blocks,
		Foot:   []string{"End of report " + r.nameOfReport() + "."},
		Style:  chartStyle(),
		Dense:  true,
	}, b.err
}

// HTML writes the report as one self-contained page.
func (r *Report) HTML(w io.Writer) error { return r.write(w, (*page.Page).HTML) }

// Markdown writes the report as Markdown.
func (r *Report) Markdown(w io.Writer) error { return r.write(w, (*page.Page).Markdown) }

// JSON writes the report as one JSON object.
func (r *Report) JSON(w io.Writer) error { return WriteJSON(w, r) }

// Table writes the report for people, on a screen.
func (r *Report) Table(w io.Writer, s Style) error {
	return r.write(w, func(p *page.Page, w io.Writer) error { return writePage(w, s, p) })
}

func (r *Report) write(w io.Writer, as func(*page.Page, io.Writer) error) error {
	p, err := r.Page()
	if err != nil {
		return err
	}
	return as(p, w)
}

// pageBuilder gathers the blocks of a report.
type pageBuilder struct {
	blocks []page.Block
	err    error
	number int
}

func (b *pageBuilder) add(blocks ...page.Block) { b.blocks = append(b.blocks, blocks...) }

// section begins a numbered section.
func (b *pageBuilder) section(title, place string) {
	b.number++
	b.add(page.Heading{Level: 2, Text: fmt.Sprintf("%d. %s", b.number, title), Note: clause(place)})
}

func (b *pageBuilder) texts(list []string) {
	for _, t := range list {
		b.add(page.Text{Text: t})
	}
}

// chart adds blocks with the picture they belong to.
func (b *pageBuilder) chart(c *picture.Chart, caption string, blocks ...page.Block) {
	svg, err := c.EmbedLow()
	if err != nil {
		b.err = err
		return
	}
	b.add(page.Beside{Blocks: blocks, Picture: page.Picture{SVG: []byte(svg), Caption: caption, About: c.About, Themed: true}})
}

// chartStyle sets the colours of charts, by day and in the dark.
func chartStyle() template.CSS {
	return template.CSS(":root { " + picture.Properties(false) + " }\n@media screen and (prefers-color-scheme: dark) { :root { " + picture.Properties(true) + " } }\n")
}

// nameOfReport is its identity with the meter's name kept apart.
func (r *Report) nameOfReport() string {
	return page.Name(r.Meter) + strings.TrimPrefix(r.ID, r.Meter)
}

// stated is what a person said, or room to write it by hand.
func stated(name string, text *string) page.Fact {
	if text == nil {
		return page.Fact{Name: name, Value: page.Cell{Text: "not stated", Blank: true}}
	}
	return page.Fact{Name: name, Value: page.Cell{Text: page.Name(*text)}}
}

func (b *pageBuilder) identity(r *Report) {
	b.section("This report", "7.8.2.1 a to e")
	var f page.Facts
	f.Add("report", r.nameOfReport())
	f.List = append(f.List, stated("made by", r.By), stated("place of readings", r.Place), stated("made for", r.For))
	b.add(f)
}

func (b *pageBuilder) method(r *Report) {
	b.section("Method", "7.8.2.1 f")
	b.texts(r.Method)
}

func (b *pageBuilder) meter(r *Report) {
	b.section("The meter", "7.8.2.1 g")
	m := r.Description
	var f page.Facts
	f.Add("meter", page.Name(m.Meter))
	f.Add("measures", quantityWords(m.Quantity)+", shown in "+m.shownIn())
	if x, ok := m.Resolution.Get(); ok {
		f.Add("resolution", asTyped(x))
	}
	if text := m.rangeText(); text != "" {
		f.Add("range", text)
	}
	if m.Compensation != nil {
		f.Add("temperature compensation", perDegree(m.compensationText()))
	}
	f.Add("tolerance", m.toleranceText())
	if m.RetiredAt != nil {
		f.Add("out of use", "since "+day(*m.RetiredAt))
	}
	if m.Note != nil {
		f.Add("note", page.Name(*m.Note))
	}
	f.Add("on record", "as "+page.Name(m.ID)+", "+day(m.RecordedAt))
	b.add(f)
}

// perDegree writes a coefficient with its unit, which is set like any other.
func perDegree(text string) string { return strings.ReplaceAll(text, " % for each C", " %/C") }

// shownIn is the unit: one of ours, which is set like any other, or what a person
// named.
func (m MeterEntry) shownIn() string {
	if m.PPMFactor.IsKnown() || typeset.Unit(wordOrEmpty(m.Unit)) != wordOrEmpty(m.Unit) {
		return m.unitText()
	}
	return page.Name(m.unitText())
}

// quantityWords say what a meter measures.
func quantityWords(quantity string) string {
	words := map[string]string{"ec": "conductivity (EC)", "ph": "pH", "co2": "CO2", "other": "something else"}
	if text, ok := words[quantity]; ok {
		return text
	}
	return quantity
}

func (b *pageBuilder) dates(r *Report) {
	b.section("Dates", "7.8.2.1 h to j")
	var f page.Facts
	switch n := len(r.Calibrations); {
	case n == 0:
		f.Add("readings", "none on record")
	case day(r.Calibrations[0].Time) == day(r.Calibrations[n-1].Time):
		f.Add("readings", day(r.Calibrations[0].Time))
	default:
		f.Add("readings", day(r.Calibrations[0].Time)+" to "+day(r.Calibrations[n-1].Time))
	}
	f.Add("report made on", r.Issued)
	if r.NextCheck != nil {
		f.Add("next check", *r.NextCheck)
		if r.OverdueSince != nil {
			f.List = append(f.List, page.Fact{Name: "overdue", Value: page.Cell{Text: r.Drift.overdueText(), Mark: page.Overdue}})
		}
		if r.Drift != nil && r.Drift.Tolerance.IsKnown() {
			f.Add("due", r.Drift.dueText())
		}
	}
	b.add(f)
	b.section("What the results are about", "7.8.2.1 l")
	b.add(page.Text{Text: reportScope})
}

func (b *pageBuilder) conditions(r *Report) {
	b.section("Conditions", "7.8.4.1 b")
	c := r.Conditions
	var f page.Facts
	low, known := c.TempLowC.Get()
	high, _ := c.TempHighC.Get()
	switch {
	case !known:
		f.Add("temperature of the references", "not on record")
	case low == high:
		f.Add("temperature of the references", asTyped(low)+" C")
	default:
		f.Add("temperature of the references", asTyped(low)+" to "+asTyped(high)+" C")
	}
	f.Add("readings with a temperature", fmt.Sprintf("%d of %d", c.WithTemp, c.Readings))
	if c.Compensation != "" {
		f.Add("the meter's compensation", perDegree(c.Compensation))
	}
	b.add(f)
}

func (b *pageBuilder) conformity(r *Report) {
	b.section("Conformity", "7.8.4.1 e, 7.8.6")
	if !r.Description.Tolerance.IsKnown() {
		b.add(page.Text{Text: "No tolerance is on record for this meter, so nothing is said of its conformity."})
		return
	}
	var f page.Facts
	f.Add("requirement", "an error within ± "+r.Description.toleranceText()+", at every reference used")
	f.List = append(f.List, page.Fact{Name: "the meter today", Value: r.stateCell()})
	if d := r.Drift; d != nil && d.PWithin.IsKnown() {
		f.Add("probability of being within", probability(d.PWithin))
	}
	b.add(f, page.Text{Text: "Decision rule: pass where the probability of being within is 95 % or more, fail at 5 % or less, undecided between (JCGM 106:2012)."})
}

func (b *pageBuilder) opinions(r *Report) {
	b.section("Drift and the next check: opinions and interpretations", "7.8.4.1 f, 7.8.7")
	d := r.Drift
	if d == nil {
		text := "Nothing can be told of its drift yet."
		if r.NoDrift != nil {
			text = "Its drift cannot be told: " + *r.NoDrift + "."
		}
		b.add(page.Text{Text: text})
		return
	}
	var f page.Facts
	if s := r.LastSeen; s != nil {
		f.Add("last seen", s.text+", "+s.Day)
	}
	f.Add("error today", d.amount(d.ErrorNow, d.UError)+d.foretoldText())
	f.Add("drift", d.amount(d.Rate, d.URate)+" per 30 days")
	if d.Zero != nil {
		f.Add("zero error", d.part(d.Zero, false))
		f.Add("gain error", d.part(d.Gain, true))
	}
	next := page.Text{Text: "When to check again, by the owner's own choice of risk: " + sentence(d.Why)}
	if d.result != nil {
		b.chart(d.Chart(), "The error over time.", f, next)
	} else {
		b.add(f, next)
	}
	if len(d.Alarms) > 0 {
		t := page.Table{Caption: "Alarms", Columns: []page.Column{{Name: "day", Whole: true}, {Name: "kind"}, {Name: "what"}}}
		for _, a := range d.Alarms {
			t.Row(day(a.Time), a.Kind, a.Text)
		}
		b.add(t)
	}
	if n := len(r.Calibrations); n > 0 && len(r.Calibrations[n-1].Advice) > 0 && r.Description.RetiredAt == nil {
		b.add(page.Heading{Level: 3, Text: "Advice of the latest check"}, page.List{Items: r.Calibrations[n-1].Advice})
	}
}

func (b *pageBuilder) rest(r *Report) {
	b.section("What was left out", "7.8.2.1 n")
	if list := append(append([]string{}, r.Exclusions...), r.Warnings...); len(list) > 0 {
		b.add(page.List{Items: sentences(list)})
	} else {
		b.add(page.Text{Text: "Nothing that is known of."})
	}
	b.section("Who answers for it", "7.8.2.1 o and p")
	var f page.Facts
	f.List = append(f.List, stated("name", r.By), page.Fact{Name: "date and signature", Value: page.Cell{Blank: true}})
	b.add(f, page.Text{Text: "All results come from the record of the meter's owner; none was provided by others, but for the published values named under traceability."})
}

// sentences begin with a capital letter and end with a full stop.
func sentences(list []string) []string {
	out := make([]string, len(list))
	for i, t := range list {
		out[i] = sentence(strings.TrimSuffix(t, "."))
	}
	return out
}
