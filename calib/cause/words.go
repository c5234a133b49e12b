package cause

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// finding is a cause with what was found of it, ready to be worded. Where it is
// nobody's and there are two meters, size is that of the second against the
// first.
type finding struct {
	target
	size, u float64 // NaN where there is none
	shape   string
}

// meterName is the meter at fault.
func (f finding) meterName(b *bench) string {
	if f.meter < 0 {
		return "one meter"
	}
	return b.meters[f.meter]
}

// against words the second of two meters against the first, and whether there is
// something to word.
func (f finding) against(b *bench) (second, first string, ok bool) {
	if f.meter >= 0 || len(b.meters) != 2 || math.IsNaN(f.size) {
		return "", "", false
	}
	first = b.meters[0]
	if len(b.scaled) > 0 {
		first += " (put on one scale)"
	}
	return b.meters[1], first, true
}

// saysNothing tells that all meters showed one value at which a cause does not
// show, with no reference to say that it should be another: no share shows at 0
// (or at pH 7), and nothing at all on a scale that begins there.
func (b *bench) saysNothing(id ID) bool {
	if b.hasRefs || id == None || !b.Relative && id != Gain && id != WeakSlope {
		return false
	}
	return !slices.ContainsFunc(b.batches, func(c batch) bool { return c.mean != b.Pivot })
}

// nothingSaid words a cause of which the readings say nothing: no size, no meter.
func (b *bench) nothingSaid(id ID) (what, do string) {
	return fmt.Sprintf("every reading is %s, which says nothing about %s", digits(b.Pivot, 2), nouns[id]), "read samples of another strength or value"
}

// silent says that a meter showed 0 in every sample although another did not:
// whatever cause fits that, it measures nothing. On a scale that does not begin
// at nothing, such as that of a thermometer, 0 is a reading like another.
func (b *bench) silent(meter int) bool {
	if meter < 0 || !b.Relative {
		return false
	}
	other := false
	for _, c := range b.batches {
		if c.meter == meter && c.mean != 0 {
			return false
		}
		other = other || c.meter != meter && c.mean != 0
	}
	return other
}

// saysSilent words the causes that put down to a size what is silence.
func (b *bench) saysSilent(f finding) (what, do string) {
	return f.meterName(b) + " shows 0 in every sample, whatever is in it: it measures nothing",
		"see that its probe is immersed, wet and connected, and that its battery is good"
}

// noTelling ends a sentence about two meters.
const noTelling = ", and nothing tells which of them is right"

// nouns name the causes within a sentence.
var nouns = map[ID]string{
	None: "no fault", DisplayScale: "another display scale", Gain: "a gain error", Zero: "a zero error",
	Compensation: "wrong temperature compensation", BadBottle: "a bad bottle", Swapped: "swapped bottles",
	Saturation: "the top of the range", Unstable: "unstable readings", Other: "something else",
	WeakSlope: "a weak slope", ZeroPoint: "a moved zero point", DeadElectrode: "a dead electrode", BadBuffer: "a bad buffer",
}

// sentence joins the parts, with a capital at the start unless a meter's name
// stands there.
func sentence(b *bench, what, do string) string {
	named := false
	for _, m := range b.meters {
		named = named || strings.HasPrefix(what, m)
	}
	if !named {
		what = strings.ToUpper(what[:1]) + what[1:]
	}
	return what + "; " + do + "."
}

// digits writes x with n significant digits, plainly.
func digits(x float64, n int) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', n-1, 64), 64)
	if err != nil {
		rounded = x
	}
	decimals := n - 1 - int(math.Floor(math.Log10(math.Abs(rounded))))
	return strconv.FormatFloat(rounded, 'f', max(0, decimals), 64)
}

func muchOrLittle(size float64) string {
	if size < 0 {
		return "little"
	}
	return "much"
}

func highOrLow(size float64) string {
	if size < 0 {
		return "low"
	}
	return "high"
}

func moreOrLess(size float64) string {
	if size < 0 {
		return "less"
	}
	return "more"
}
