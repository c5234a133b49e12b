package logbook

import "time"

// Meter is a meter, pen or probe, in one of its versions. Numbers are in its
// own unit, that of its readings.
type Meter struct {
	Head
	// Name is what a person calls it: the identity of its first version.
	Name string `json:"meter"`
	// Quantity is ec, ph, temperature, humidity, oxygen, co2 or other.
	Quantity string `json:"quantity"`
	Unit     string `json:"unit,omitempty"`
	// PPMFactor is ppm shown for each uS/cm, of a meter that shows ppm.
	PPMFactor  *float64 `json:"ppm_factor,omitempty"`
	Resolution *float64 `json:"resolution,omitempty"` // the step of the display
	RangeLow   *float64 `json:"range_low,omitempty"`
	RangeHigh  *float64 `json:"range_high,omitempty"`
	// Compensation is linear, none, natural-water, or empty where nobody knows
	// or it has no meaning.
	Compensation string   `json:"compensation,omitempty"`
	Alpha        *float64 `json:"alpha,omitempty"`      // 1/C
	RefTempC     *float64 `json:"ref_temp_C,omitempty"` // C
	// Tolerance is how large an error may be: a fraction of the reference
	// where it is relative.
	Tolerance         *float64 `json:"tolerance,omitempty"`
	ToleranceRelative bool     `json:"tolerance_relative"`
	Note              string   `json:"note,omitempty"`
	// RetiredAt is when it went out of use; the zero time for a meter in use.
	RetiredAt time.Time `json:"retired_at,omitzero"`

	noReadings
}

// Quantities are what a meter can measure.
func Quantities() []string {
	return []string{"ec", "ph", "temperature", "humidity", "oxygen", "co2", "other"}
}

// Retired tells whether the meter is out of use.
func (m *Meter) Retired() bool { return !m.RetiredAt.IsZero() }

func (m *Meter) kind() Kind { return KindMeter }

func (m *Meter) columns() []column {
	return []column{
		{"meter", &m.Name},
		{"quantity", &m.Quantity},
		{"unit", optionalText{&m.Unit}},
		{"ppm_factor", &m.PPMFactor},
		{"resolution", &m.Resolution},
		{"range_low", &m.RangeLow},
		{"range_high", &m.RangeHigh},
		{"compensation", optionalText{&m.Compensation}},
		{"alpha", &m.Alpha},
		{"ref_temp_C", &m.RefTempC},
		{"tolerance", &m.Tolerance},
		{"tolerance_relative", &m.ToleranceRelative},
		{"note", optionalText{&m.Note}},
		{"retired_at", optionalMoment{&m.RetiredAt}},
	}
}

func (m *Meter) references() []reference { return nil }

func (m *Meter) tidy() {
	tidyTime(&m.RetiredAt)
	tidyNumbers(m.PPMFactor, m.Resolution, m.RangeLow, m.RangeHigh, m.Alpha, m.RefTempC, m.Tolerance)
}

func (m *Meter) inspect(in *inspector) {
	inspectVersion(in, &m.Head, "meter", m.Name)
	in.word("quantity", m.Quantity, Quantities()...)
	in.text("unit", m.Unit)
	in.optional("ppm_factor", m.PPMFactor, ppmPerUS)
	if (m.Unit == "ppm" && m.Quantity == "ec") != (m.PPMFactor != nil) {
		in.fault("ppm_factor", "unit "+m.Unit+" with or without it", "a factor for a conductivity meter that shows ppm, and for no other")
	}
	in.optional("resolution", m.Resolution, positive)
	in.optional("range_low", m.RangeLow, anyNumber)
	in.optional("range_high", m.RangeHigh, anyNumber)
	if m.RangeLow != nil && m.RangeHigh != nil && !(*m.RangeLow < *m.RangeHigh) {
		in.fault("range_high", "an end that is not above the start", "a range such as 0..20")
	}
	if m.Compensation != "" {
		in.word("compensation", m.Compensation, "linear", "none", "natural-water")
	}
	in.optional("alpha", m.Alpha, perKelvin)
	in.optional("ref_temp_C", m.RefTempC, celsius)
	in.optional("tolerance", m.Tolerance, positive)
	if m.Tolerance == nil && m.ToleranceRelative {
		in.fault("tolerance_relative", "true without a tolerance", "false")
	}
	in.text("note", m.Note)
	in.optionalTime("retired_at", m.RetiredAt)
}
