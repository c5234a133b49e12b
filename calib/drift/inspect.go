package drift

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
)

// span is a closed range of numbers with the words for it.
type span struct {
	low, high float64
	want      string
}

// refSpans are the references that make sense for a kind.
var refSpans = map[check.Kind]span{
	// The purest water conducts 5.5e-6 S/m; an error is a fraction of the reference.
	check.EC:          {1e-6, 1e9, "a conductivity above 0 (at least 0.000001), in the unit of the reading (an error is a fraction of it)"},
	check.PH:          {-1, 15, "a pH from -1 to 15"},
	check.Temperature: {-40, 150, "a temperature from -40 to 150 C"},
	check.Humidity:    {0, 100, "a relative humidity from 0 to 100 %"},
	check.Oxygen:      {0, 1000, "an oxygen reading from 0 to 1000"},
	check.CO2:         {0, 1e6, "a carbon dioxide reading from 0 to 1000000 ppm"},
	check.Other:       {-1e12, 1e12, "a number from -1e12 to 1e12"},
}

// readingSpans are the readings that can be one of that kind at all.
var readingSpans = map[check.Kind]span{
	check.PH: {-2, 16, "the pH shown, from -2 to 16"},
}

// anyReading bounds the others.
var anyReading = span{-1e12, 1e12, "a number from -1e12 to 1e12"}

// A reading so many times its reference, or that part of it, is a slip between
// units a thousand times apart, such as mS/cm and uS/cm.
const thousandLow, thousandHigh = 500.0, 2000.0

// inspect refuses an entry that makes no sense by itself.
func inspect(e *Entry, o Options) error {
	fault := func(column, found, want string, cause error) error {
		return &EntryError{Row: e.Row, Name: e.Name, Column: column, Found: found, Want: want, Cause: cause}
	}
	switch {
	case e.Time.IsZero():
		return fault("time", "nothing", "the time of the check or event", ErrIncomplete)
	case e.Time.After(o.Now.Add(grace)):
		return fault("time", e.Time.Format("2006-01-02 15:04"), "a time that is not after now ("+o.Now.Format("2006-01-02 15:04")+")", ErrFuture)
	case e.Event != "" && !slices.Contains(Events(), e.Event):
		return fault("event", strconv.Quote(string(e.Event)), "adjusted, cleaned, replaced or nothing", ErrOutOfRange)
	case e.State != "" && e.State != AsFound && e.State != AsLeft:
		return fault("state", strconv.Quote(string(e.State)), "as-found, as-left or nothing", ErrOutOfRange)
	case e.Ref == nil && e.Reading == nil && e.Event == "":
		return fault("reading", "nothing", "a reading with its ref, or an event", ErrIncomplete)
	case e.Ref == nil && e.Reading != nil:
		return fault("ref", "nothing", "the reference that was read", ErrIncomplete)
	case e.Ref != nil && e.Reading == nil:
		return fault("reading", "nothing", "the reading of that reference", ErrIncomplete)
	case e.Ref == nil:
		return nil
	}
	ref, reading := *e.Ref, *e.Reading
	if s := refSpans[o.Kind]; !(ref >= s.low && ref <= s.high) {
		return fault("ref", number(ref), s.want, ErrOutOfRange)
	}
	s, ok := readingSpans[o.Kind]
	if !ok {
		s = anyReading
	}
	if !(reading >= s.low && reading <= s.high) {
		return fault("reading", number(reading), s.want, ErrOutOfRange)
	}
	if o.Kind == check.EC && reading > 0 {
		if off := math.Max(reading/ref, ref/reading); off >= thousandLow && off <= thousandHigh {
			word := "larger"
			if reading < ref {
				word = "smaller"
			}
			return fault("reading", fmt.Sprintf("%s, about a thousand times %s than the reference %s", number(reading), word, number(ref)),
				"reading and reference in one unit, such as uS/cm (1 mS/cm is 1000 uS/cm)", ErrWrongUnit)
		}
	}
	for column, u := range map[string]*float64{"u_ref": e.URef, "u_ref_shared": e.URefShared, "u_reading": e.UReading} {
		if u != nil && !(*u >= 0 && *u <= math.MaxFloat64) {
			return fault(column, number(*u), "a standard uncertainty: 0 (exact) or more", ErrOutOfRange)
		}
	}
	if e.URefShared != nil && *e.URefShared > 0 && e.RefSource == "" {
		return fault("ref_source", "nothing beside u_ref_shared", "the name of what is shared", ErrNoSource)
	}
	for _, p := range e.Shared {
		if p.ID == "" || math.IsNaN(p.Size) || math.IsInf(p.Size, 0) {
			return fault("u_ref_shared", number(p.Size)+" of a part called "+strconv.Quote(p.ID), "a name and a number", ErrOutOfRange)
		}
	}
	return nil
}

func number(x float64) string {
	text := strconv.FormatFloat(x, 'g', 10, 64)
	return strings.Replace(text, "e+", "e", 1)
}
