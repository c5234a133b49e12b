package reports

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/solutions"
)

// mostRows is the longest table that is worth printing.
const mostRows = 1000

// Grid asks for the rows of a table; what is unknown is taken as the reference
// has it, 5 to 35 C in steps of 1 C for most. All in the unit of the axis.
type Grid struct {
	From, To, Step Number
}

// ReferenceTable is a reference along its temperature (boiling water: along
// the air pressure; outdoor air: along the years).
type ReferenceTable struct {
	Quantity    string             `json:"quantity"`
	Name        string             `json:"name"`
	Along       string             `json:"along"` // "temperature", "pressure" or "year"
	Unit        string             `json:"unit"`
	DisplayUnit *string            `json:"display_unit"`
	Meter       string             `json:"meter,omitempty"`
	EC25        Number             `json:"ec25_uS_cm"`
	UEC25       Number             `json:"u_ec25_uS_cm"`
	Rows        List[ReferenceRow] `json:"rows"`
	Source      string             `json:"source"`
	Valid       List[ValidRange]   `json:"valid"`
	Notes       List[string]       `json:"notes"`
	Warnings    Warnings           `json:"warnings"`

	alongUnit string
}

// ReferenceRow is a line of a table. Of the first three one is known: the one
// the table runs along; boiling water has its own temperature as the value.
type ReferenceRow struct {
	TempC       Number `json:"temp_C,omitzero"`
	PressureKPa Number `json:"pressure_kPa,omitzero"`
	Year        int    `json:"year,omitzero"`
	Value       Number `json:"value"`
	UValue      Number `json:"u_value"`
	Display     Number `json:"display"`
	UDisplay    Number `json:"u_display"`

	along float64
}

// AxisKind is the kind of quantity a table of the reference runs along; false
// if its rows are fixed (years) or it has no table.
func (m ReferenceMaker) AxisKind() (quantity.Kind, bool) { return m.along.kind, m.along.kind != 0 }

// NewReferenceTable makes the table. Rows of the reference's own choice that
// lie outside its range are left out with a warning; rows that were asked for
// and lie outside are an error.
func NewReferenceTable(m ReferenceMaker, g Grid) (*ReferenceTable, error) {
	xs, err := m.grid(g)
	if err != nil {
		return nil, err
	}
	asked := g.From.IsKnown() || g.To.IsKnown()
	t := &ReferenceTable{Along: m.along.name, alongUnit: m.along.unit}
	var made []*Reference
	refused := 0
	var refusal error
	for _, x := range xs {
		r, err := NewReference(m.movedTo(x))
		if err != nil {
			var outside *solutions.RangeError
			if asked || !errors.As(err, &outside) {
				return nil, fmt.Errorf("at %s: %w", m.along.text(x), err)
			}
			refused, refusal = refused+1, err
			continue
		}
		made = append(made, r)
		t.Rows = append(t.Rows, r.row(m.along, x))
	}
	if len(made) == 0 {
		return nil, refusal
	}
	t.take(made)
	var outside *solutions.RangeError
	if errors.As(refusal, &outside) {
		t.Warnings = append(t.Warnings, fmt.Sprintf("rows left out, outside the range of the %s (%s): %d", outside.What, outside.Range, refused))
	}
	return t, nil
}

// grid lists the rows asked for, or the axis's own.
func (m ReferenceMaker) grid(g Grid) ([]float64, error) {
	a := m.along
	if a.input < 0 {
		return nil, fmt.Errorf("no table for this reference: %s", a.whyNot)
	}
	pick := func(n Number, otherwise float64) float64 {
		if x, known := n.Get(); known {
			return x
		}
		return otherwise
	}
	from, to, step := pick(g.From, a.from), pick(g.To, a.to), pick(g.Step, a.step)
	switch {
	case !(step > 0):
		return nil, fmt.Errorf("the step of a table is %s; want more than 0", a.text(step))
	case !(to >= from):
		return nil, fmt.Errorf("the table would run from %s to %s; want the lower one first", a.text(from), a.text(to))
	case (to-from)/step > mostRows:
		return nil, fmt.Errorf("a step of %s from %s to %s makes more than %d rows; want a larger step", a.text(step), a.text(from), a.text(to), mostRows)
	}
	var xs []float64
	for i := 0; ; i++ {
		// Rounding to 1e-9 keeps steps such as 0.1 on the numbers people expect.
		x := math.Round((from+float64(i)*step)*1e9) / 1e9
		if x > to+1e-9 {
			return xs, nil
		}
		xs = append(xs, x)
	}
}

// movedTo is the same reference with its axis input at x.
func (m ReferenceMaker) movedTo(x float64) ReferenceMaker {
	inputs := append([]ReferenceInput{}, m.inputs...)
	inputs[m.along.input].Value = x
	m.inputs = inputs
	return m
}

func (a axis) text(x float64) string {
	if a.unit == "" {
		return fmt.Sprintf("%g", x)
	}
	return fmt.Sprintf("%g %s", x, a.unit)
}

func (r *Reference) row(a axis, x float64) ReferenceRow {
	row := ReferenceRow{Value: r.Value, UValue: r.UValue, Display: r.Display, UDisplay: r.UDisplay, along: x}
	switch a.name {
	case "pressure":
		row.PressureKPa = Known(x)
	case "year":
		row.Year = int(x)
	default:
		row.TempC = Known(x)
	}
	return row
}

// take copies what all rows share from the middle one, which also stands for
// the rest in what the unstated uncertainties may cost, and every row's own
// warnings once.
func (t *ReferenceTable) take(rows []*Reference) {
	r := rows[len(rows)/2]
	t.Quantity, t.Name, t.Unit, t.DisplayUnit, t.Meter = r.Quantity, r.Name, r.Unit, r.DisplayUnit, r.Meter
	t.EC25, t.UEC25 = r.EC25, r.UEC25
	t.Source, t.Valid, t.Notes = r.Source, r.Valid, r.Notes
	t.Warnings = append(t.Warnings, r.Warnings...)
	for _, other := range rows {
		for _, warning := range other.ownWarnings {
			if !slices.Contains(t.Warnings, warning) {
				t.Warnings = append(t.Warnings, warning)
			}
		}
	}
}

// WarningList gives the warnings.
func (t *ReferenceTable) WarningList() []string { return t.Warnings }

// Table writes the table for people.
func (t *ReferenceTable) Table(w io.Writer, s Style) error {
	var f Fields
	f.Add("Reference", t.Name)
	if ec25, known := t.EC25.Get(); known {
		f.Add("At 25 C", PlusMinus(ec25, t.UEC25, "uS/cm"))
		f.Add("Meter", t.Meter)
	}
	f.Add("Source", t.Source)
	if len(t.Valid) > 0 {
		f.Add("Valid", validText(t.Valid))
	}
	if err := f.Write(w, s); err != nil {
		return err
	}
	if _, err := io.WriteString(w, "\n"); err != nil {
		return err
	}
	columns := []Column{{Name: t.Along, Unit: t.alongUnit}, {Name: t.valueHead(), Unit: t.Unit}, {Name: "u", Unit: t.Unit}}
	if t.DisplayUnit != nil {
		columns = append(columns, Column{Name: "a meter shows", Unit: *t.DisplayUnit}, Column{Name: "u", Unit: *t.DisplayUnit})
	}
	table := NewTable(columns...)
	for _, row := range t.Rows {
		value, _ := row.Value.Get()
		v, u := Round(value, row.UValue)
		cells := []string{fmt.Sprintf("%g", row.along), v, u}
		if display, known := row.Display.Get(); known {
			d, ud := Round(display, row.UDisplay)
			cells = append(cells, d, ud)
		}
		table.Row(cells...)
	}
	if err := table.Write(w, s); err != nil {
		return err
	}
	return writeList(w, s, "What to know", "- ", t.Notes)
}

func (t *ReferenceTable) valueHead() string {
	if t.DisplayUnit != nil {
		return "true value"
	}
	return "value"
}
