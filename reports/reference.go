package reports

import (
	"fmt"
	"io"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Reference is one reference point: what a faultless probe reads in it. The
// keys from ec25 to display belong to conductivity and are null for others. A u
// leaves out what LeftOut lists; it is null where nothing else is known.
type Reference struct {
	Quantity string `json:"quantity"`
	Name     string `json:"name"`
	TempC    Number `json:"temp_C"`
	Value    Number `json:"value"` // conductivity: true, uncompensated
	UValue   Number `json:"u_value"`
	Unit     string `json:"unit"`

	EC25        Number  `json:"ec25_uS_cm"`
	UEC25       Number  `json:"u_ec25_uS_cm"`
	Display     Number  `json:"display"` // what a perfect meter shows
	UDisplay    Number  `json:"u_display"`
	DisplayUnit *string `json:"display_unit"`
	Meter       string  `json:"meter,omitempty"` // the display in words

	Salt        string `json:"salt,omitempty"`
	Molality    Number `json:"molality_mol_kg,omitzero"`
	MgL         Number `json:"salt_mg_L,omitzero"`
	PressureKPa Number `json:"pressure_kPa,omitzero"`
	Year        int    `json:"year,omitzero"`

	Source        string           `json:"source"`
	Valid         List[ValidRange] `json:"valid"`
	Budget        List[SharePart]  `json:"budget"`                   // of u_value
	DisplayBudget List[SharePart]  `json:"budget_display,omitempty"` // of u_display
	LeftOut       List[LeftOut]    `json:"left_out"`
	Notes         List[string]     `json:"notes"`
	Steps         List[string]     `json:"steps"` // how to make it at home
	Cautions      List[string]     `json:"cautions"`
	NotAtHome     string           `json:"not_at_home,omitempty"` // why there are no steps
	Warnings      Warnings         `json:"warnings"`

	ownWarnings []string // without those about what is left out
	publication string   // Source without what this value alone rests on
	basis       string
	decimals    int    // that the published table supports; 0 for any
	water       string // whether the water's own conductivity is in the values, in words
	// What the u of each value leaves out, in words.
	unstatedValue, unstatedEC25, unstatedDisplay []string
}

// ValidRange is a range a reference is defined in.
type ValidRange struct {
	Quantity string  `json:"quantity"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	Unit     string  `json:"unit"`
}

// SharePart is a line of a reference's uncertainty budget.
type SharePart struct {
	Source   string  `json:"source"`
	U        float64 `json:"u"`        // in the unit of the value
	Fraction float64 `json:"fraction"` // of the variance; the fractions sum to 1
}

// NewReference makes the result. Its errors are those of the reference: a
// temperature outside its range, a strength outside the model.
func NewReference(m ReferenceMaker) (*Reference, error) {
	e, err := m.evaluate(ReferenceInput.uncertain)
	if err != nil {
		return nil, err
	}
	p := e.point
	r := &Reference{
		Quantity: p.Quantity, Name: p.Name,
		Value: Known(p.Value.Nominal()), UValue: statedU(p.Value), Unit: p.Unit,
		Source: p.Source, Notes: p.Notes,
		publication: p.Source, basis: p.Basis, decimals: p.Decimals,
		unstatedValue: unstatedNames(p.Value),
		Budget:        shareParts(p.Value),
		Steps:         p.Making.Steps, Cautions: p.Making.Cautions, NotAtHome: p.Making.NotAtHome,
		Year:        e.year,
		ownWarnings: append(append([]string{}, p.Warnings...), m.warnings...),
	}
	if p.Basis != "" {
		r.Source = p.Basis + ": " + p.Source
	}
	r.Warnings = append(r.Warnings, r.ownWarnings...)
	for _, v := range p.Ranges {
		r.Valid = append(r.Valid, ValidRange{v.Quantity, v.Low, v.High, v.Unit})
	}
	if p.TempC != nil {
		r.TempC = Known(*p.TempC)
	}
	if e.pressureKPa != nil {
		r.PressureKPa = Known(*e.pressureKPa)
	}
	if e.display != nil {
		r.fillConductivity(e)
	}
	if r.LeftOut, err = m.leftOut(e); err != nil {
		return nil, err
	}
	for _, l := range r.LeftOut {
		r.Warnings = append(r.Warnings, l.text(r, ""))
	}
	return r, nil
}

func (r *Reference) fillConductivity(e evaluation) {
	r.EC25, r.UEC25 = Known(e.ec25.Nominal()), statedU(*e.ec25)
	r.Display, r.UDisplay = Known(e.display.Nominal()), statedU(*e.display)
	r.unstatedEC25, r.unstatedDisplay = unstatedNames(*e.ec25), unstatedNames(*e.display)
	r.DisplayUnit, r.Meter = &e.displayUnit, e.meter
	r.DisplayBudget = shareParts(*e.display)
	r.water = "conductivity not given: left out of every value"
	if w := e.salt.Water; w != nil {
		text := trimZeros(Significant(w.Nominal(), unknownDigits))
		if w.U() > 0 {
			v, u := Round(w.Nominal(), Known(w.U()))
			text = v + " ± " + u
		}
		r.water = text + " uS/cm at 25 C, added"
	}
	r.Salt = e.salt.Salt.Formula
	r.Molality = Known(e.salt.Molality.Nominal())
	if s, err := solutions.StrengthOf(e.salt.Salt, e.salt.Molality.Nominal()); err == nil {
		r.MgL = Known(s.MgL)
	}
}

func shareParts(v uncert.Value) List[SharePart] {
	var out List[SharePart]
	for _, s := range v.Budget() {
		out = append(out, SharePart{s.Source.Label, s.Size, s.Fraction})
	}
	return out
}

// WarningList gives the warnings.
func (r *Reference) WarningList() []string { return r.Warnings }

// Table writes the reference for people.
func (r *Reference) Table(w io.Writer, s Style) error {
	var f Fields
	f.Add("Reference", r.Name)
	if t, known := r.TempC.Get(); known && r.Quantity != "temperature" {
		f.Add("Temperature", fmt.Sprintf("%g C", t))
	}
	if r.Year != 0 {
		f.Add("Year", fmt.Sprint(r.Year))
	}
	if kPa, known := r.PressureKPa.Get(); known {
		f.Add("Air pressure", fmt.Sprintf("%.6g kPa", kPa))
	}
	if r.DisplayUnit == nil {
		f.Add("Value", stateReference(r.Value, r.UValue, r.Unit, r.decimals, r.unstatedValue, ""))
	} else {
		f.Add("Strength", r.strength())
		f.Add("Water", r.water)
		f.Add("True value", stateReference(r.Value, r.UValue, r.Unit, 0, r.unstatedValue, ", not compensated"))
		f.Add("At 25 C", stateReference(r.EC25, r.UEC25, "uS/cm", 0, r.unstatedEC25, ""))
		f.Add("A meter shows", stateReference(r.Display, r.UDisplay, *r.DisplayUnit, 0, r.unstatedDisplay, ""))
		f.Add("Meter", r.Meter)
	}
	f.Add("Source", r.Source)
	if len(r.Valid) > 0 {
		f.Add("Valid", validText(r.Valid))
	}
	if err := f.Write(w, s); err != nil {
		return err
	}
	if err := r.writeBudget(w, s); err != nil {
		return err
	}
	if err := writeList(w, s, "What to know", "- ", r.Notes); err != nil {
		return err
	}
	return r.writeMaking(w, s)
}

// strength is the salt's strength in the units that mix and weigh.
func (r *Reference) strength() string {
	mgL, _ := r.MgL.Get()
	molality, _ := r.Molality.Get()
	return fmt.Sprintf("%s mg/L of %s, %s mol/kg", Significant(mgL, 4), r.Salt, Significant(molality, 4))
}

func validText(ranges []ValidRange) string {
	var parts []string
	for _, v := range ranges {
		low, high := trimZeros(Significant(v.Low, 5)), trimZeros(Significant(v.High, 5))
		parts = append(parts, strings.TrimRight(fmt.Sprintf("%s %s to %s %s", v.Quantity, low, high, v.Unit), " "))
	}
	return strings.Join(parts, ", ")
}

func (r *Reference) writeBudget(w io.Writer, s Style) error {
	if len(r.Budget)+len(r.DisplayBudget)+len(r.LeftOut) == 0 {
		return nil
	}
	if err := Heading(w, s, "Where the uncertainty comes from (standard uncertainty, k = 1)"); err != nil {
		return err
	}
	columns := []Column{{Name: "source", Text: true}, {Name: "of the value", Unit: r.Unit}}
	shown := make(map[string]float64)
	if r.DisplayUnit != nil {
		columns = append(columns, Column{Name: "of the display", Unit: *r.DisplayUnit})
		for _, p := range r.DisplayBudget {
			shown[p.Source] = p.U
		}
	}
	t := NewTable(columns...)
	for _, p := range r.Budget {
		t.Row(p.Source, Significant(p.U, 2), Significant(shown[p.Source], 2))
	}
	for _, l := range r.LeftOut {
		t.Row(l.Source, unknown, unknown)
	}
	return t.Write(w, s)
}

func (r *Reference) writeMaking(w io.Writer, s Style) error {
	if r.NotAtHome != "" {
		if err := Heading(w, s, "Not for making at home"); err != nil {
			return err
		}
		return Paragraph(w, s, "", r.NotAtHome)
	}
	if err := writeList(w, s, "Cautions", "- ", r.Cautions); err != nil {
		return err
	}
	return writeList(w, s, "Step by step", "", r.Steps)
}

// writeList writes a headed list, numbered where bullet is empty. An empty list
// writes nothing.
func writeList(w io.Writer, s Style, title, bullet string, lines []string) error {
	if len(lines) == 0 {
		return nil
	}
	if err := Heading(w, s, title); err != nil {
		return err
	}
	for i, line := range lines {
		lead := bullet
		if lead == "" {
			lead = fmt.Sprintf("%d. ", i+1)
		}
		if err := Paragraph(w, s, lead, line); err != nil {
			return err
		}
	}
	return nil
}
