package logbook

import (
	"encoding/json"
	"fmt"
	"time"
)

// Calibration is a meter read in references at one time, and the line that was
// found: corrected = Intercept + Slope · reading. A check of a meter that was
// not adjusted is one as well. Everything is in the unit of the readings.
type Calibration struct {
	Head
	Meter string    `json:"meter"`
	Time  time.Time `json:"time"`
	// State is as-found, or as-left after an adjustment.
	State    string `json:"state"`
	Quantity string `json:"quantity"`
	Unit     string `json:"unit,omitempty"`

	Method     string   `json:"method"`
	N          int      `json:"n"` // points fitted; repeats that were averaged count as one
	DoF        int      `json:"dof"`
	Intercept  float64  `json:"intercept"`
	Slope      float64  `json:"slope"`
	UIntercept *float64 `json:"u_intercept,omitempty"`
	USlope     *float64 `json:"u_slope,omitempty"`
	Cov        *float64 `json:"cov,omitempty"` // of intercept and slope
	// UBasis is what the uncertainties rest on: scatter, stated or none.
	UBasis string `json:"u_basis"`
	// The readings of the references lie from ReadingLow to ReadingHigh.
	ReadingLow  float64 `json:"reading_low"`
	ReadingHigh float64 `json:"reading_high"`
	Verdict     string  `json:"verdict,omitempty"`

	Note     string    `json:"note,omitempty"`
	Readings []Reading `json:"readings"`
	// Result is what the command printed with --json.
	Result json.RawMessage `json:"result"`
}

// Reading is one reading of one reference. A figure that is nil was not stated.
type Reading struct {
	Ref        float64  `json:"ref"`
	Reading    float64  `json:"reading"`
	URef       *float64 `json:"u_ref,omitempty"` // the reference's own part
	RefSource  string   `json:"ref_source,omitempty"`
	URefShared *float64 `json:"u_ref_shared,omitempty"`
	UReading   *float64 `json:"u_reading,omitempty"`
	TempC      *float64 `json:"temp_C,omitempty"`
	Bottle     string   `json:"bottle,omitempty"` // as it was named
	// BottleID is the version of a bottle of the record that Ref came from.
	BottleID string `json:"bottle_id,omitempty"`
	// RefParts are the sources of Ref's uncertainty, where Ref came from a
	// bottle of the record; URef and URefShared then are their sizes.
	RefParts Parts     `json:"ref_parts,omitempty"`
	Time     time.Time `json:"time,omitzero"` // zero: the calibration's
	MV       *float64  `json:"mv,omitempty"`  // of a pH electrode, mV
}

// Began is the time of its first reading: Time, where no reading has one of its
// own. A meter that was left so was adjusted before.
func (c Calibration) Began() time.Time {
	first := c.Time
	for i, r := range c.Readings {
		at := r.Time
		if at.IsZero() {
			at = c.Time
		}
		if i == 0 || at.Before(first) {
			first = at
		}
	}
	return first
}

func (c *Calibration) kind() Kind { return KindCalibration }

func (c *Calibration) columns() []column {
	return []column{
		{"meter", &c.Meter},
		{"time", moment{&c.Time}},
		{"state", &c.State},
		{"quantity", &c.Quantity},
		{"unit", optionalText{&c.Unit}},
		{"method", &c.Method},
		{"n", &c.N},
		{"dof", &c.DoF},
		{"intercept", &c.Intercept},
		{"slope", &c.Slope},
		{"u_intercept", &c.UIntercept},
		{"u_slope", &c.USlope},
		{"cov", &c.Cov},
		{"u_basis", &c.UBasis},
		{"reading_low", &c.ReadingLow},
		{"reading_high", &c.ReadingHigh},
		{"verdict", optionalText{&c.Verdict}},
		{"note", optionalText{&c.Note}},
		{"result", rawJSON{&c.Result}},
	}
}

func (r *Reading) columns() []column {
	return []column{
		{"ref", &r.Ref},
		{"reading", &r.Reading},
		{"u_ref", &r.URef},
		{"ref_source", optionalText{&r.RefSource}},
		{"u_ref_shared", &r.URefShared},
		{"u_reading", &r.UReading},
		{"temp_C", &r.TempC},
		{"bottle", optionalText{&r.Bottle}},
		{"bottle_id", optionalText{&r.BottleID}},
		{"ref_parts", partsCell{&r.RefParts}},
		{"time", optionalMoment{&r.Time}},
		{"mv", &r.MV},
	}
}

func (c *Calibration) readings() readings {
	return readings{
		table: "reading",
		n:     len(c.Readings),
		at:    func(i int) []column { return c.Readings[i].columns() },
		take:  func(from Record) { c.Readings = append(c.Readings, from.(*Calibration).Readings...) },
	}
}

func (c *Calibration) references() []reference {
	out := []reference{{KindMeter, c.Meter, "meter"}}
	for i, r := range c.Readings {
		if r.BottleID != "" {
			out = append(out, reference{KindBottle, r.BottleID, fmt.Sprintf("reading %d, bottle_id", i+1)})
		}
	}
	return out
}

func (c *Calibration) tidy() {
	tidyTime(&c.Time)
	tidyNumbers(&c.Intercept, &c.Slope, c.UIntercept, c.USlope, c.Cov, &c.ReadingLow, &c.ReadingHigh)
	tidyObject(&c.Result)
	for i := range c.Readings {
		r := &c.Readings[i]
		tidyTime(&r.Time)
		tidyNumbers(&r.Ref, &r.Reading, r.URef, r.URefShared, r.UReading, r.TempC, r.MV)
		tidyParts(&r.RefParts)
	}
}

func (c *Calibration) inspect(in *inspector) {
	in.name("meter", c.Meter, false)
	in.time("time", c.Time)
	in.word("state", c.State, "as-found", "as-left")
	in.word("quantity", c.Quantity, Quantities()...)
	in.text("unit", c.Unit)
	in.name("method", c.Method, false)
	if c.N < 1 || c.DoF < 0 {
		in.fault("n", fmt.Sprintf("%d points, %d degrees of freedom", c.N, c.DoF), "at least 1 and 0")
	}
	in.number("intercept", c.Intercept, anyNumber)
	in.number("slope", c.Slope, anyNumber)
	in.optional("u_intercept", c.UIntercept, notBelow0)
	in.optional("u_slope", c.USlope, notBelow0)
	in.optional("cov", c.Cov, anyNumber)
	in.word("u_basis", c.UBasis, "scatter", "stated", "none")
	in.number("reading_low", c.ReadingLow, anyNumber)
	in.number("reading_high", c.ReadingHigh, anyNumber)
	if c.ReadingHigh < c.ReadingLow {
		in.fault("reading_high", fmt.Sprint(c.ReadingHigh), "reading_low or more")
	}
	if c.Verdict != "" {
		in.word("verdict", c.Verdict, "pass", "fail", "undecided")
	}
	in.text("note", c.Note)
	in.object("result", c.Result)
	if n := len(c.Readings); n == 0 || n > maxReading {
		in.fault("readings", fmt.Sprintf("%d of them", n), fmt.Sprintf("1 to %d", maxReading))
	}
	for i := range c.Readings {
		in.prefix = fmt.Sprintf("reading %d, ", i+1)
		c.Readings[i].inspect(in)
	}
	in.prefix = ""
}

func (r *Reading) inspect(in *inspector) {
	in.number("ref", r.Ref, anyNumber)
	in.number("reading", r.Reading, anyNumber)
	inspectReference(in, &r.Ref, r.URef, r.URefShared, r.RefSource, r.RefParts)
	in.optional("u_reading", r.UReading, notBelow0)
	in.optional("temp_C", r.TempC, celsius)
	in.text("bottle", r.Bottle)
	if r.BottleID != "" {
		in.name("bottle_id", r.BottleID, true)
	}
	in.optionalTime("time", r.Time)
	in.optional("mv", r.MV, anyNumber)
}

// inspectReference is for what calibrations and comparisons say of a reference.
func inspectReference(in *inspector, ref, own, shared *float64, source string, parts Parts) {
	in.optional("u_ref", own, notBelow0)
	in.optional("u_ref_shared", shared, notBelow0)
	in.text("ref_source", source)
	if ref == nil && (own != nil || shared != nil || parts != nil) {
		in.fault("u_ref", "the uncertainty of a reference that is not there", "both or neither")
	}
	in.parts("ref_parts", parts)
}
