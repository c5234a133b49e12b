package logbook

import (
	"encoding/json"
	"fmt"
	"time"
)

// Comparison is several meters read in the same samples.
type Comparison struct {
	Head
	Time     time.Time `json:"time"`
	Quantity string    `json:"quantity"`
	// Tolerance is a fraction where it is relative.
	Tolerance         *float64   `json:"tolerance,omitempty"`
	ToleranceRelative bool       `json:"tolerance_relative"`
	Note              string     `json:"note,omitempty"`
	Readings          []Compared `json:"readings"`
	// Result is what the command printed with --json.
	Result json.RawMessage `json:"result"`
}

// Compared is what one meter showed once in one sample. A figure that is nil
// was not stated.
type Compared struct {
	Meter string `json:"meter"` // as it was named
	// MeterID is the name of a meter of the record, where Meter is one.
	MeterID    string    `json:"meter_id,omitempty"`
	Sample     string    `json:"sample"`
	Replicate  string    `json:"replicate,omitempty"`
	Reading    float64   `json:"reading"`
	UReading   *float64  `json:"u_reading,omitempty"`
	Ref        *float64  `json:"ref,omitempty"`
	URef       *float64  `json:"u_ref,omitempty"`
	RefSource  string    `json:"ref_source,omitempty"`
	URefShared *float64  `json:"u_ref_shared,omitempty"`
	TempC      *float64  `json:"temp_C,omitempty"`
	Bottle     string    `json:"bottle,omitempty"`    // as for a [Reading]
	BottleID   string    `json:"bottle_id,omitempty"` // as for a [Reading]
	RefParts   Parts     `json:"ref_parts,omitempty"` // as for a [Reading]
	Time       time.Time `json:"time,omitzero"`       // zero: the comparison's
}

func (c *Comparison) kind() Kind { return KindComparison }

func (c *Comparison) columns() []column {
	return []column{
		{"time", moment{&c.Time}},
		{"quantity", &c.Quantity},
		{"tolerance", &c.Tolerance},
		{"tolerance_relative", &c.ToleranceRelative},
		{"note", optionalText{&c.Note}},
		{"result", rawJSON{&c.Result}},
	}
}

func (r *Compared) columns() []column {
	return []column{
		{"meter", &r.Meter},
		{"meter_id", optionalText{&r.MeterID}},
		{"sample", &r.Sample},
		{"replicate", optionalText{&r.Replicate}},
		{"reading", &r.Reading},
		{"u_reading", &r.UReading},
		{"ref", &r.Ref},
		{"u_ref", &r.URef},
		{"ref_source", optionalText{&r.RefSource}},
		{"u_ref_shared", &r.URefShared},
		{"temp_C", &r.TempC},
		{"bottle", optionalText{&r.Bottle}},
		{"bottle_id", optionalText{&r.BottleID}},
		{"ref_parts", partsCell{&r.RefParts}},
		{"time", optionalMoment{&r.Time}},
	}
}

func (c *Comparison) readings() readings {
	return readings{
		table: "compared",
		n:     len(c.Readings),
		at:    func(i int) []column { return c.Readings[i].columns() },
		take:  func(from Record) { c.Readings = append(c.Readings, from.(*Comparison).Readings...) },
	}
}

func (c *Comparison) references() []reference {
	var out []reference
	for i, r := range c.Readings {
		if r.MeterID != "" {
			out = append(out, reference{KindMeter, r.MeterID, fmt.Sprintf("reading %d, meter_id", i+1)})
		}
		if r.BottleID != "" {
			out = append(out, reference{KindBottle, r.BottleID, fmt.Sprintf("reading %d, bottle_id", i+1)})
		}
	}
	return out
}

func (c *Comparison) tidy() {
	tidyTime(&c.Time)
	tidyNumbers(c.Tolerance)
	tidyObject(&c.Result)
	for i := range c.Readings {
		r := &c.Readings[i]
		tidyTime(&r.Time)
		tidyNumbers(&r.Reading, r.UReading, r.Ref, r.URef, r.URefShared, r.TempC)
		tidyParts(&r.RefParts)
	}
}

func (c *Comparison) inspect(in *inspector) {
	in.time("time", c.Time)
	in.word("quantity", c.Quantity, Quantities()...)
	in.optional("tolerance", c.Tolerance, positive)
	if c.Tolerance == nil && c.ToleranceRelative {
		in.fault("tolerance_relative", "true without a tolerance", "false")
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

func (r *Compared) inspect(in *inspector) {
	in.label("meter", r.Meter)
	in.label("sample", r.Sample)
	if r.MeterID != "" {
		in.name("meter_id", r.MeterID, false)
	}
	in.text("replicate", r.Replicate)
	in.number("reading", r.Reading, anyNumber)
	in.optional("u_reading", r.UReading, notBelow0)
	in.optional("ref", r.Ref, anyNumber)
	inspectReference(in, r.Ref, r.URef, r.URefShared, r.RefSource, r.RefParts)
	in.optional("temp_C", r.TempC, celsius)
	in.text("bottle", r.Bottle)
	if r.BottleID != "" {
		in.name("bottle_id", r.BottleID, true)
	}
	in.optionalTime("time", r.Time)
}
