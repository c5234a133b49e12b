package reports

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// BenchSheet is a sheet for a planned check: bottles down, meters across, to be
// filled in with a pen, and the same as a table to be typed into.
type BenchSheet struct {
	File     *string         `json:"file"`   // the page; null for none
	CSV      List[string]    `json:"csv"`    // the tables, one for each part
	TempC    Number          `json:"temp_C"` // planned
	UTempC   Number          `json:"u_temp_C"`
	Parts    List[SheetPart] `json:"parts"`
	Warnings Warnings        `json:"warnings"`

	paper string // its name
}

// SheetPart is the part of a sheet with one kind of reference.
type SheetPart struct {
	Quantity string            `json:"quantity"` // ec or ph
	Bottles  List[BottleEntry] `json:"bottles"`  // the weakest first
	Meters   List[MeterEntry]  `json:"meters"`
	// Expected is what each meter should show, bottle by bottle and for each
	// all meters in order; empty without a temperature.
	Expected List[SheetCell] `json:"expected"`

	past map[string]bool // the bottles that are past their date
}

// SheetCell is one meter in one bottle.
type SheetCell struct {
	Bottle   string  `json:"bottle"`
	Meter    string  `json:"meter"`
	Display  Number  `json:"display"` // what it should show; null where that cannot be told
	UDisplay Number  `json:"u_display"`
	Unit     *string `json:"display_unit"`
}

// SheetOf is what a sheet is asked for. Retired meters, and bottles past their
// date, are taken with a warning: whoever leaves the choice to the record leaves
// them out.
type SheetOf struct {
	Bottles []logbook.Bottle
	// LeftOut are those that were left out as past their date.
	LeftOut []logbook.Bottle
	Meters  []logbook.Meter
	Temp    *uncert.Value // C; nil where it is not planned
	Paper   string        // a4 or letter
	Now     time.Time
}

// ErrNothingToRead is wrapped by the error about bottles and meters of which no
// two go together.
var ErrNothingToRead = errors.New("no bottle for any meter")

// NewBenchSheet plans a sheet. Errors are those of [shelf.On] about the
// temperature, and wrap [ErrNothingToRead].
func NewBenchSheet(of SheetOf) (*BenchSheet, error) {
	out := &BenchSheet{TempC: Unknown(), UTempC: Unknown(), paper: of.Paper}
	if of.Temp != nil {
		out.TempC, out.UTempC = Known(of.Temp.Nominal()), Maybe(of.Temp.U(), len(of.Temp.Unstated()) == 0)
	}
	for _, kind := range []string{"ec", "ph"} {
		part, err := out.part(kind, of)
		if err != nil {
			return nil, err
		}
		if part != nil {
			out.Parts = append(out.Parts, *part)
		}
	}
	for _, m := range of.Meters {
		if m.Quantity != "ec" && m.Quantity != "ph" {
			out.Warnings = append(out.Warnings, fmt.Sprintf("meter %s measures %s, for which there are no bottles: it is left out", m.Name, m.Quantity))
		}
	}
	if len(out.Parts) == 0 {
		return nil, nothingToRead(of)
	}
	return out, nil
}

func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// part is the part of one kind; nil where there is none.
func (r *BenchSheet) part(kind string, of SheetOf) (*SheetPart, error) {
	var bottles []logbook.Bottle
	var meters []logbook.Meter
	for _, b := range of.Bottles {
		if shelf.Quantity(b) == kind {
			bottles = append(bottles, b)
		}
	}
	for _, m := range of.Meters {
		if m.Quantity == kind {
			meters = append(meters, m)
		}
	}
	if len(bottles) == 0 || len(meters) == 0 {
		for _, b := range bottles {
			r.Warnings = append(r.Warnings, fmt.Sprintf("bottle %s is for a meter of %s, and there is none: it is left out", b.Name, kind))
		}
		for _, m := range meters {
			if old := of.old(kind); len(old) > 0 {
				r.Warnings = append(r.Warnings, fmt.Sprintf("meter %s measures %s, and the bottles for it are past their date, %s: it is left out", m.Name, kind, goodUntil(old)))
				continue
			}
			r.Warnings = append(r.Warnings, fmt.Sprintf("meter %s measures %s, and there is no bottle for it: it is left out", m.Name, kind))
		}
		return nil, nil
	}
	if err := weakestFirst(bottles); err != nil {
		return nil, err
	}
	part := &SheetPart{Quantity: kind, past: map[string]bool{}}
	for _, m := range meters {
		part.Meters = append(part.Meters, newMeterEntry(m))
		if m.Retired() && !of.Now.Before(m.RetiredAt) {
			r.Warnings = append(r.Warnings, fmt.Sprintf("meter %s is out of use since %s", m.Name, m.RetiredAt.Format(time.DateOnly)))
		}
	}
	for _, b := range bottles {
		part.Bottles = append(part.Bottles, newBottleEntry(b))
		if text := shelf.PastDate(b, of.Now); text != "" {
			part.past[b.Name] = true
			r.Warnings = append(r.Warnings, text)
		}
		if of.Temp == nil {
			continue
		}
		if _, err := shelf.True(b, *of.Temp); err != nil {
			return nil, err
		}
		for _, m := range meters {
			part.Expected = append(part.Expected, r.expect(b, m, *of.Temp))
		}
	}
	return part, nil
}

// weakestFirst orders bottles as they are read, so that what clings to a probe
// spoils least; buffers by their pH.
func weakestFirst(bottles []logbook.Bottle) error {
	at := map[string]float64{}
	for _, b := range bottles {
		v, err := shelf.True(b, uncert.Exact(solutions.StrengthTempC))
		if err != nil {
			return err
		}
		at[b.ID] = v.Nominal()
	}
	slices.SortStableFunc(bottles, func(a, b logbook.Bottle) int {
		switch {
		case at[a.ID] < at[b.ID]:
			return -1
		case at[a.ID] > at[b.ID]:
			return 1
		}
		return strings.Compare(a.Name, b.Name)
	})
	return nil
}

// expect works out one cell. A meter whose display is not known has none, with
// a warning.
func (r *BenchSheet) expect(b logbook.Bottle, m logbook.Meter, temp uncert.Value) SheetCell {
	cell := SheetCell{Bottle: b.Name, Meter: m.Name, Display: Unknown(), UDisplay: Unknown(), Unit: wordOrNull(m.Unit)}
	v, err := shelf.On(b, m, temp)
	if err != nil {
		r.warn("meter %s: what it should show is not known: %v", m.Name, err)
		return cell
	}
	cell.Display, cell.UDisplay = Known(v.Nominal()), Maybe(v.U(), shelf.Stated(b))
	if text := shelf.OutOfRange(m, v.Nominal()); text != "" {
		r.warn("meter %s should show %s in bottle %s, and %s", m.Name, Significant(v.Nominal(), unknownDigits), b.Name, text)
	}
	return cell
}

func (r *BenchSheet) warn(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); !slices.Contains(r.Warnings, text) {
		r.Warnings = append(r.Warnings, text)
	}
}

// WarningList gives the warnings.
func (r *BenchSheet) WarningList() []string { return r.Warnings }

// Table says what was planned.
func (r *BenchSheet) Table(w io.Writer, s Style) error {
	files := append([]string{}, r.CSV...)
	if r.File != nil {
		files = append([]string{*r.File}, files...)
	}
	lead := "A bench sheet of " + strings.Join(files, ", ") + ":"
	for i, part := range r.Parts {
		if i > 0 {
			lead += ";"
		}
		lead += fmt.Sprintf(" %s, %s for %s", part.Quantity, counted(len(part.Bottles), "bottle"), counted(len(part.Meters), "meter"))
	}
	if err := Paragraph(w, s, "", lead+"."); err != nil {
		return err
	}
	for _, part := range r.Parts {
		if err := r.writePart(w, s, part); err != nil {
			return err
		}
	}
	return nil
}

func (r *BenchSheet) writePart(w io.Writer, s Style, p SheetPart) error {
	t := NewTable(Column{Name: "bottle", Text: true}, Column{Name: "meter", Text: true}, Column{Name: "shows"}, Column{Name: "u"}, Column{Name: "in", Text: true})
	for _, cell := range p.Expected {
		value, u := Round(numberOrZero(cell.Display), cell.UDisplay)
		if !cell.Display.IsKnown() {
			value, u = unknown, unknown
		}
		t.Row(cell.Bottle, cell.Meter, value, u, wordOrEmpty(cell.Unit))
	}
	if len(p.Expected) == 0 {
		return nil
	}
	if err := Heading(w, s, fmt.Sprintf("What each meter of %s should show at %s C", p.Quantity, asTyped(numberOrZero(r.TempC)))); err != nil {
		return err
	}
	if err := Paragraph(w, s, "", "(u is one standard uncertainty"+r.leftOut()+")"); err != nil {
		return err
	}
	return t.Write(w, s)
}
