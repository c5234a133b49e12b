package electrode

import (
	"fmt"
	"math"
)

// Quantity names what a criterion is about.
type Quantity string

// The quantities that criteria speak of.
const (
	SlopePercent  Quantity = "slope_percent"   // percent of the ideal slope
	OffsetMV      Quantity = "offset_mV"       // potential at pH 7
	ZeroPointPH   Quantity = "zero_point_pH"   // pH at 0 mV
	CheckBufferPH Quantity = "check_buffer_pH" // deviation of a buffer between the two outer ones
	SpanPH        Quantity = "span_pH"         // between the outer buffers
	GapPH         Quantity = "gap_pH"          // widest, between neighbouring buffers
	SpreadC       Quantity = "temp_spread_C"   // between the points' temperatures
)

// Standing says how firmly a criterion stands.
type Standing string

// Standings.
const (
	Published      Standing = "published"
	CommonPractice Standing = "common practice"
)

// Criterion is one acceptance rule.
type Criterion struct {
	ID       string
	Quantity Quantity
	Low      float64 // lowest value allowed; -Inf where there is none
	High     float64 // highest value allowed; +Inf where there is none
	Unit     string
	Source   string
	Standing Standing
	// Binding criteria make the verdict; the others are warnings.
	Binding bool
}

// Criteria returns the acceptance rules, the binding ones first.
func Criteria() []Criterion {
	inf := math.Inf(1)
	return []Criterion{
		{ID: "slope", Quantity: SlopePercent, Low: 90, High: 105, Unit: "%", Standing: Published, Binding: true,
			Source: "USP <791> pH, as revised in USP 39, 1st supplement (2016)"},
		{ID: "offset", Quantity: OffsetMV, Low: -30, High: 30, Unit: "mV", Standing: Published, Binding: true,
			Source: "USP <791> pH, as revised in USP 39, 1st supplement (2016)"},
		{ID: "third-buffer", Quantity: CheckBufferPH, Low: -0.1, High: 0.1, Unit: "pH", Standing: Published, Binding: true,
			Source: "operators' guide to waste-water laboratory practice: a third buffer within 0.1 pH, or calibrate again"},
		{ID: "third-buffer-laboratory", Quantity: CheckBufferPH, Low: -0.05, High: 0.05, Unit: "pH", Standing: CommonPractice,
			Source: "laboratory practice (from memory)"},
		{ID: "slope-good", Quantity: SlopePercent, Low: 95, High: 102, Unit: "%", Standing: CommonPractice,
			Source: "often quoted for a healthy, conditioned electrode"},
		{ID: "slope-trade", Quantity: SlopePercent, Low: 85, High: 105, Unit: "%", Standing: CommonPractice,
			Source: "trade rule: 150 to 186 mV between pH 7.01 and 4.01 at 25 C"},
		{ID: "zero-point", Quantity: ZeroPointPH, Low: 6.5, High: 7.5, Unit: "pH", Standing: CommonPractice,
			Source: "combination electrodes with their zero at pH 7"},
		{ID: "span", Quantity: SpanPH, Low: 3, High: inf, Unit: "pH", Standing: Published,
			Source: "operators' guide to waste-water laboratory practice: two buffers at least 3 pH apart that bracket the sample (nominal values: whole numbers are compared)"},
		{ID: "gap", Quantity: GapPH, Low: -inf, High: 4, Unit: "pH", Standing: Published,
			Source: "pharmacopoeia rule: the two buffers on either side of the sample differ by not more than 4 pH (nominal values: whole numbers are compared)"},
		{ID: "one-temperature", Quantity: SpreadC, Low: -inf, High: 4, Unit: "C", Standing: Published,
			Source: "pharmacopoeia rule: all solutions within 25 ± 2 C"},
	}
}

// String returns the criterion in words.
func (c Criterion) String() string {
	switch {
	case math.IsInf(c.Low, -1):
		return fmt.Sprintf("%s not above %g %s (%s)", c.Quantity, c.High, c.Unit, c.Source)
	case math.IsInf(c.High, 1):
		return fmt.Sprintf("%s at least %g %s (%s)", c.Quantity, c.Low, c.Unit, c.Source)
	}
	return fmt.Sprintf("%s %g to %g %s (%s)", c.Quantity, c.Low, c.High, c.Unit, c.Source)
}
