package reports

import (
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/brinemark/brinemark/solutions"
)

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
	LeftOut     List[LeftOut]      `json:"left_out"` // sizes as in the middle row
	Notes       List[string]       `json:"notes"`
	Warnings    Warnings           `json:"warnings"`

	alongUnit string
	middle    *Reference
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
	Basis       string `json:"basis,omitempty"` // what this value rests on, where rows differ

	along float64
}

// NewReferenceTable makes the table. Ends of the reference's own choice that lie
// outside its range are moved to the end of it, with a warning; ends that were
// asked for and lie outside are an error.
func NewReferenceTable(m ReferenceMaker, g Grid) (*ReferenceTable, error) {
	t := &ReferenceTable{Along: m.along.name, alongUnit: m.along.unit}
	xs, err := m.grid(g, &t.Warnings)
	if err != nil {
		return nil, err
	}
	var made []*Reference
	for _, x := range xs {
		r, err := NewReference(m.movedTo(x))
		if err != nil {
			return nil, m.along.refusal(x, err)
		}
		made = append(made, r)
		t.Rows = append(t.Rows, r.row(m.along, x))
	}
	t.take(made)
	return t, nil
}

// refusal is the error of one row. Nobody typed its number, so a hint at what
// was meant has no place.
func (a axis) refusal(x float64, err error) error {
	var outside *solutions.RangeError
	if errors.As(err, &outside) {
		bare := *outside
		bare.Hint = ""
		if err = &bare; bare.Range.Quantity != a.limits.Quantity {
			return err // it is about every row alike
		}
	}
	return fmt.Errorf("at %s: %w", a.text(x), err)
}

// movedTo is the same reference with its axis input at x.
func (m ReferenceMaker) movedTo(x float64) ReferenceMaker {
	inputs := append([]ReferenceInput{}, m.inputs...)
	inputs[m.along.input].Value = x
	m.inputs = inputs
	return m
}

func (r *Reference) row(a axis, x float64) ReferenceRow {
	row := ReferenceRow{Value: r.Value, UValue: r.UValue, Display: r.Display, UDisplay: r.UDisplay, Basis: r.basis, along: x}
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
	t.Source, t.Valid, t.Notes, t.LeftOut = r.publication, r.Valid, r.Notes, r.LeftOut
	t.middle = r
	for _, other := range rows {
		for _, warning := range other.ownWarnings {
			if !slices.Contains(t.Warnings, warning) {
				t.Warnings = append(t.Warnings, warning)
			}
		}
	}
	for _, l := range t.LeftOut {
		t.Warnings = append(t.Warnings, l.text(r, " (mid-table)"))
	}
}

// WarningList gives the warnings.
func (t *ReferenceTable) WarningList() []string { return t.Warnings }

// Table writes the table for people.
func (t *ReferenceTable) Table(w io.Writer, s Style) error {
	var f Fields
	f.Add("Reference", t.Name)
	if t.DisplayUnit != nil {
		f.Add("Strength", t.middle.strength())
		f.Add("Water", t.middle.water)
		f.Add("At 25 C", stateReference(t.EC25, t.UEC25, "uS/cm", 0, t.middle.unstatedEC25, ""))
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
	if err := t.writeRows(w, s); err != nil {
		return err
	}
	if names := t.unstated(); len(names) > 0 {
		line := "u is larger than shown, by how much is unknown: "
		if !slices.ContainsFunc(t.Rows, func(r ReferenceRow) bool { return r.UValue.IsKnown() || r.UDisplay.IsKnown() }) {
			line = "u unknown: "
		}
		if err := Paragraph(w, s, "", line+notStated(names)+"."); err != nil {
			return err
		}
	}
	return writeList(w, s, "What to know", "- ", t.Notes)
}

// unstated names what the u of the rows leaves out.
func (t *ReferenceTable) unstated() []string {
	names := slices.Clone(t.middle.unstatedValue)
	for _, name := range t.middle.unstatedDisplay {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

func (t *ReferenceTable) writeRows(w io.Writer, s Style) error {
	columns := []Column{{Name: t.Along, Unit: t.alongUnit}, {Name: t.valueHead(), Unit: t.Unit}, {Name: "u", Unit: t.Unit}}
	if t.DisplayUnit != nil {
		columns = append(columns, Column{Name: "a meter shows", Unit: *t.DisplayUnit}, Column{Name: "u", Unit: *t.DisplayUnit})
	}
	hasBasis := slices.ContainsFunc(t.Rows, func(r ReferenceRow) bool { return r.Basis != "" })
	if hasBasis {
		columns = append(columns, Column{Name: "basis", Text: true})
	}
	table := NewTable(columns...)
	for _, row := range t.Rows {
		value, _ := row.Value.Get()
		v, u := roundReference(value, row.UValue, t.middle.decimals, len(t.middle.unstatedValue) > 0)
		cells := []string{fmt.Sprintf("%g", row.along), v, u}
		if display, known := row.Display.Get(); known {
			d, ud := roundReference(display, row.UDisplay, 0, len(t.middle.unstatedDisplay) > 0)
			cells = append(cells, d, ud)
		}
		if hasBasis {
			cells = append(cells, row.Basis)
		}
		table.Row(cells...)
	}
	return table.Write(w, s)
}

func (t *ReferenceTable) valueHead() string {
	if t.DisplayUnit != nil {
		return "true value"
	}
	return "value"
}
