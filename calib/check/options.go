package check

import (
	"fmt"
	"math"
	"strconv"

	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Kind is what the meter measures. It changes what is sensible, what is advised and what units are
// printed, never the fit.
type Kind string

// The kinds of meter.
const (
	EC          Kind = "ec"
	PH          Kind = "ph"
	Temperature Kind = "temperature"
	Humidity    Kind = "humidity"
	Oxygen      Kind = "oxygen"
	CO2         Kind = "co2"
	Other       Kind = "other"
)

// Kinds lists them.
func Kinds() []Kind { return []Kind{EC, PH, Temperature, Humidity, Oxygen, CO2, Other} }

// unit is the unit of a kind where the kind has only one, else "".
func (k Kind) unit() string {
	return map[Kind]string{PH: "pH", Temperature: "C", Humidity: "%RH", Oxygen: "mg/L", CO2: "ppm CO2"}[k]
}

// Unit is the unit readings of this kind are in, where the kind has only one; "" for conductivity,
// which a meter may show in uS/cm, mS/cm or ppm, and for Other.
func (k Kind) Unit() string { return k.unit() }

// Size is a standard uncertainty (k = 1) that holds for every row: absolute, or a fraction of the
// reference (or reading).
type Size struct {
	Value    float64
	Relative bool
}

func (s Size) of(v float64) float64 {
	if s.Relative {
		return s.Value * math.Abs(v)
	}
	return s.Value
}

// Options are what is asked beside the rows. The zero value fits by the automatic choice, without
// a tolerance.
type Options struct {
	Kind   Kind        // "" is EC
	Method line.Method // "" chooses by what is known

	Tolerance *quantity.Tolerance // nil: no verdict

	At        []float64 // readings to correct
	UAt       float64   // standard uncertainty of those readings; 0 takes them as exact
	InverseOf []float64 // true values whose reading is asked for

	// Resolution is the step of the display; 0 where it is not known. It adds step/sqrt(12) to each
	// reading's standard uncertainty (GUM F.2.2.1), and does not average out over repeats.
	Resolution float64

	// URef, URefShared and UReading stand in for rows that do not state their own.
	URef, URefShared, UReading *Size

	// UMV is the standard uncertainty of the potentials of a pH electrode, in mV; nil for unknown.
	UMV *float64

	// Zero is the reading in air or pure water, where the reference is 0; nil for none. For a
	// conductivity meter.
	Zero *float64
	// UZero is the standard uncertainty of the zero point, reading and all; 0 is exact, nil unknown.
	// It is needed where the other rows state theirs.
	UZero *float64

	MonteCarlo bool
	Seed       uint64
	// Progress is told the draws done, when given.
	Progress func(done, most int)

	// Unit is what advice puts behind a figure; "" for nothing. It converts nothing.
	Unit string

	// Compensates says that the meter is known to correct by a temperature sensor of its own.
	Compensates bool

	inner bool // a look at some of the rows: it searches no further
}

func (o Options) check() error {
	finite := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	for _, v := range append(append([]float64{o.UAt, o.Resolution}, o.At...), o.InverseOf...) {
		if !finite(v) {
			return fmt.Errorf("%g is not a finite number: %w", v, ErrOptions)
		}
	}
	for _, s := range []*Size{o.URef, o.URefShared, o.UReading} {
		if s != nil && !(finite(s.Value) && s.Value >= 0) {
			return fmt.Errorf("standard uncertainty %g: want 0 (exact) or more: %w", s.Value, ErrOutOfRange)
		}
	}
	if o.UMV != nil && !(finite(*o.UMV) && *o.UMV >= 0) {
		return fmt.Errorf("standard uncertainty %g of potentials: want 0 (exact) or more: %w", *o.UMV, ErrOutOfRange)
	}
	if o.Zero != nil && (!finite(*o.Zero) || (o.Kind != EC && o.Kind != Other)) {
		return fmt.Errorf("a zero point in air or pure water is for quantity ec: %w", ErrOptions)
	}
	if o.UZero != nil && !(finite(*o.UZero) && *o.UZero >= 0) {
		return fmt.Errorf("standard uncertainty %g of the zero point: want 0 (exact) or more: %w", *o.UZero, ErrOutOfRange)
	}
	if o.UAt < 0 {
		return fmt.Errorf("standard uncertainty %g of a reading: want 0 (exact) or more: %w", o.UAt, ErrOutOfRange)
	}
	if o.Resolution < 0 {
		return fmt.Errorf("resolution %g: want the step of the display, above 0: %w", o.Resolution, ErrOutOfRange)
	}
	return nil
}

// fill copies the rows with the options' stand-ins written in, and the zero point added.
func (o Options) fill(rows []Row) []Row {
	out := append([]Row(nil), rows...)
	for i := range out {
		r := &out[i]
		if r.URef == nil && o.URef != nil {
			r.URef = pointer(o.URef.of(r.Ref))
		}
		if r.UReading == nil && o.UReading != nil {
			r.UReading = pointer(o.UReading.of(r.Reading))
		}
		if r.URefShared == nil && o.URefShared != nil {
			r.URefShared = pointer(o.URefShared.of(r.Ref))
			if r.RefSource == "" {
				r.RefSource = "stock"
			}
		}
	}
	if o.Zero != nil {
		out = append(out, o.zeroRow(out))
	}
	return out
}

// zeroRow is the zero point. Air conducts nothing and shares no stock, but no meter finds zero
// without doubt, and nobody can tell how well but who read it: UZero counts for reading and reference
// together.
func (o Options) zeroRow(rows []Row) Row {
	z := Row{Name: "the zero point", Reading: *o.Zero, Bottle: "zero"}
	refs, reads := false, false
	for _, r := range rows {
		refs, reads = refs || r.URef != nil, reads || r.UReading != nil
	}
	if o.UZero == nil {
		return z
	}
	switch {
	case refs && reads:
		z.URef, z.UReading = pointer(0), o.UZero
	case refs:
		z.URef = o.UZero
	case reads:
		z.UReading = o.UZero
	}
	return z
}

func pointer(v float64) *float64 { return &v }

// number writes a figure for a sentence: up to six significant digits.
func number(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
