package logbook

import (
	"encoding/json"
	"time"
)

// Bottle is a reference in a bottle, in one of its versions: a solution of a
// salt, or a pH buffer. Exactly one of Salt and Buffer is set.
type Bottle struct {
	Head
	// Name is what a person calls it: the identity of its first version.
	Name string `json:"bottle"`
	// Since is from when on this version holds, where something happened to
	// the bottle: it was weighed again. The zero time: it always did.
	Since time.Time `json:"since,omitzero"`

	// Salt is the formula, such as NaCl.
	Salt string `json:"salt,omitempty"`
	// Strength is of pure salt, in StrengthUnit: uS/cm (the salt's own
	// conductivity at 25 C), mg/L, mg/kg, mol/kg, mol/L, or ppm of a display
	// with PPMFactor.
	StrengthUnit string   `json:"strength_unit,omitempty"`
	PPMFactor    *float64 `json:"ppm_factor,omitempty"`
	Strength     *Amount  `json:"strength,omitempty"`
	// WaterEC25 is the conductivity of the water at 25 C in uS/cm, where it is
	// known.
	WaterEC25 *Amount `json:"water_ec25_uS_cm,omitempty"`

	// Buffer is the buffer's name, such as phosphate or 7.00.
	Buffer string `json:"buffer,omitempty"`

	// Deviation is how far the content may be from what its name promises: a
	// fraction of the salt's conductivity (impurities that conduct), or a
	// difference in pH. Its value is 0 unless something is known better.
	Deviation *Amount `json:"deviation,omitempty"`

	MadeOn     string `json:"made_on,omitempty"`     // a day, such as 2026-03-01
	BestBefore string `json:"best_before,omitempty"` // the last day on which it is good

	// ContentG is the mass of the solution, FullG that of the closed bottle
	// when it was weighed last, EmptyG that of the empty one with its cap; all
	// as a scale shows them, but ContentG the true mass, in g.
	ContentG *float64 `json:"content_g,omitempty"`
	FullG    *float64 `json:"full_g,omitempty"`
	EmptyG   *float64 `json:"empty_g,omitempty"`
	// UWeighingG is the standard uncertainty of a weighing of the bottle.
	UWeighingG *float64 `json:"u_weighing_g,omitempty"`
	// Weighing is the identity of the error of the weighing behind FullG, so
	// that it drops out of a loss counted twice.
	Weighing string `json:"weighing,omitempty"`

	// Made is what "recipe made" printed with --json, where it came from there.
	Made json.RawMessage `json:"made,omitempty"`
	Note string          `json:"note,omitempty"`

	noReadings
}

func (b *Bottle) kind() Kind { return KindBottle }

func (b *Bottle) columns() []column {
	return []column{
		{"bottle", &b.Name},
		{"since", optionalMoment{&b.Since}},
		{"salt", optionalText{&b.Salt}},
		{"strength_unit", optionalText{&b.StrengthUnit}},
		{"ppm_factor", &b.PPMFactor},
		{"strength", amountCell{&b.Strength}},
		{"water_ec25_uS_cm", amountCell{&b.WaterEC25}},
		{"buffer", optionalText{&b.Buffer}},
		{"deviation", amountCell{&b.Deviation}},
		{"made_on", optionalText{&b.MadeOn}},
		{"best_before", optionalText{&b.BestBefore}},
		{"content_g", &b.ContentG},
		{"full_g", &b.FullG},
		{"empty_g", &b.EmptyG},
		{"u_weighing_g", &b.UWeighingG},
		{"weighing", optionalText{&b.Weighing}},
		{"made", rawJSON{&b.Made}},
		{"note", optionalText{&b.Note}},
	}
}

func (b *Bottle) references() []reference { return nil }

func (b *Bottle) tidy() {
	tidyTime(&b.Since)
	tidyNumbers(b.PPMFactor, b.ContentG, b.FullG, b.EmptyG, b.UWeighingG)
	for _, a := range []*Amount{b.Strength, b.WaterEC25, b.Deviation} {
		tidyAmount(a)
	}
	tidyObject(&b.Made)
}

// StrengthUnits are the units a strength can be in.
func StrengthUnits() []string { return []string{"uS/cm", "mg/L", "mg/kg", "mol/kg", "mol/L", "ppm"} }

func (b *Bottle) inspect(in *inspector) {
	inspectVersion(in, &b.Head, "bottle", b.Name)
	in.optionalTime("since", b.Since)
	if (b.Salt == "") == (b.Buffer == "") {
		in.fault("salt", "both salt and buffer, or neither", "one of them")
	}
	if b.Salt != "" {
		in.name("salt", b.Salt, false)
		in.word("strength_unit", b.StrengthUnit, StrengthUnits()...)
		if b.Strength == nil {
			in.fault("strength", "nothing", "the strength of the salt's solution")
		}
	} else if b.Strength != nil || b.StrengthUnit != "" || b.WaterEC25 != nil {
		in.fault("strength", "one for a buffer", "none")
	}
	if (b.StrengthUnit == "ppm") != (b.PPMFactor != nil) {
		in.fault("ppm_factor", "unit "+b.StrengthUnit+" with or without it", "a factor for a strength in ppm, and for no other")
	}
	in.optional("ppm_factor", b.PPMFactor, ppmPerUS)
	in.amount("strength", b.Strength, notBelow0)
	in.amount("water_ec25_uS_cm", b.WaterEC25, notBelow0)
	in.amount("deviation", b.Deviation, anyNumber)
	in.text("buffer", b.Buffer)
	in.date("made_on", b.MadeOn)
	in.date("best_before", b.BestBefore)
	if b.MadeOn != "" && b.BestBefore != "" && b.BestBefore < b.MadeOn {
		in.fault("best_before", b.BestBefore, "a day not before the one it was made on, "+b.MadeOn)
	}
	in.optional("content_g", b.ContentG, positive)
	in.optional("full_g", b.FullG, positive)
	in.optional("empty_g", b.EmptyG, positive)
	in.optional("u_weighing_g", b.UWeighingG, notBelow0)
	if b.FullG != nil && b.EmptyG != nil && *b.FullG <= *b.EmptyG {
		in.fault("empty_g", "a mass not below that of the full bottle", "less")
	}
	in.text("weighing", b.Weighing)
	if len(b.Made) > 0 {
		in.object("made", b.Made)
	}
	in.text("note", b.Note)
}
