package cause

import (
	"fmt"
	"strings"
)

// displayScale is a display that multiplies by another factor than the
// reference or the other meters: a right reading on another scale. Unlike a
// gain it can only be one of a few exact ratios.
type displayScale struct{}

func (displayScale) id() ID { return DisplayScale }

// ratio is one display's number over another's for the same liquid.
type ratio struct {
	of, weight float64
}

// ppmFactors are the usual display units per uS/cm, with how often they are
// met, a guess. Factors: common practice, no single source.
var ppmFactors = []ratio{{0.5, 1}, {0.64, 0.6}, {0.7, 1}}

// rareScales are display units per uS/cm that are met now and then: the tenfold
// mS/cm of hydroponics (CF), and mS/m, which is also what a display in tens of
// uS/cm shows. Both are common practice, no source; ISO 7888 reports in mS/m.
var rareScales = []ratio{{0.01, 0.1}, {0.1, 0.1}}

// perMille is the weight of a display in parts per thousand beside the same
// factor in ppm.
const perMille = 1 / 10.0

// scaleRatios are the ratios of two displays: ppm against uS/cm or mS/cm, one
// ppm against another, uS/cm against mS/cm, and the rare ones against these,
// each in both directions.
func scaleRatios() []ratio {
	both := func(list []ratio, r, w float64) []ratio {
		return append(list, ratio{r, w / 2}, ratio{1 / r, w / 2})
	}
	out := both(nil, 1000, 1)
	for _, f := range rareScales {
		out = both(out, f.of, f.weight)
	}
	for i, f := range ppmFactors {
		out = both(out, f.of, f.weight)
		out = both(out, 1000*f.of, f.weight*perMille)
		out = both(out, f.of/1000, f.weight*perMille)
		for _, g := range ppmFactors[i+1:] {
			out = both(out, f.of/g.of, 1.2*f.weight*g.weight)
		}
	}
	return out
}

// displays are all display units per uS/cm, with how often they are met.
func displays() []ratio {
	out := append([]ratio{{1, 1}, {0.001, 1}}, ppmFactors...)
	out = append(out, rareScales...)
	for _, f := range ppmFactors {
		out = append(out, ratio{f.of / 1000, f.weight * perMille})
	}
	return out
}

// misread is how likely a reference was looked up for a wrong scale, beside a
// display that was set to one.
const misread = 0.3

// ratiosOf are the ratios a meter may be off by. A reference holds for the
// meter's own scale, so that with a known factor they are those of any other
// scale to it, or of it to any other, where the display is what it is known to
// be and the reference was looked up for another. Without references the meter is held against the others, which
// shareScale has put on one scale as far as their factors are known.
func (b *bench) ratiosOf(m int) []ratio {
	base, known := b.factor[m]
	if beside, ok := b.factorBeside(m); !b.hasRefs && !(known && ok) {
		base, known = beside, ok
	}
	if !known {
		return scaleRatios()
	}
	var out []ratio
	for _, f := range displays() {
		if b.hasRefs && f.of != base {
			out = append(out, ratio{base / f.of, misread * f.weight})
		}
		if f.of != base {
			out = append(out, ratio{f.of / base, f.weight})
		}
	}
	return out
}

// factorBeside is the known factor of another meter.
func (b *bench) factorBeside(m int) (float64, bool) {
	for other := range b.meters {
		if f, known := b.factor[other]; known && other != m {
			return f, true
		}
	}
	return 0, false
}

func (displayScale) variants(b *bench) []variant {
	var out []variant
	for m := range b.meters {
		if b.silent(m) {
			continue // nothing is nothing on every scale
		}
		for _, r := range b.ratiosOf(m) {
			out = append(out, variant{
				cause: DisplayScale, who: meterTarget(m), weight: r.weight, accused: []int{m}, size: r.of,
				show: only(m, func(p point) shown { return shown{value: r.of * p.ref, slope: r.of, live: 1} }),
			})
		}
	}
	return out
}

func (displayScale) says(b *bench, f finding) (what, do string) {
	do = "set both displays to one scale, or give each meter the reference for its own"
	if second, first, ok := f.against(b); ok && len(b.scaled) > 0 {
		return fmt.Sprintf("%s shows %s times what %s shows: one of the two displays is not on the scale that is known of it", second, times(f.size), first),
			"look which scale each display is set to"
	} else if ok {
		return fmt.Sprintf("%s shows %s times what %s shows, as another display scale does%s: each may be right on its own", second, times(f.size), first, hintBetween(f.size)),
			"set both displays to one scale before comparing them"
	}
	if f.meter < 0 {
		return "the meters show one liquid on two display scales: each may be right on its own", "set both displays to one scale before comparing them"
	}
	return fmt.Sprintf("%s shows %s times what is expected, which is what another display scale does%s", f.meterName(b), times(f.size), scaleHint(f.size)), do
}

// times words a ratio: 0.5, 1.28 or 1000.
func times(ratio float64) string {
	text := digits(ratio, 3)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// scaleHint names a pair of scales with this ratio, of a meter and of what is
// expected of it.
func scaleHint(size float64) string {
	if shows, expected, ok := scalesApart(size); ok {
		return fmt.Sprintf(" (such as %s where %s is expected)", shows, expected)
	}
	return ""
}

// hintBetween names a pair of scales with this ratio, of two meters.
func hintBetween(size float64) string {
	if second, first, ok := scalesApart(size); ok {
		return fmt.Sprintf(" (such as %s against %s)", second, first)
	}
	return ""
}

// scalesApart are two display scales whose numbers have this ratio.
func scalesApart(size float64) (a, b string, ok bool) {
	name := func(f float64) string {
		switch f {
		case 1:
			return "uS/cm"
		case 0.001:
			return "mS/cm"
		case 0.01:
			return "CF"
		}
		if f < 0.001 {
			return fmt.Sprintf("parts per thousand with factor %g", 1000*f)
		}
		return fmt.Sprintf("ppm with factor %g", f)
	}
	all := []float64{1, 0.001, 0.01}
	for _, f := range ppmFactors {
		all = append(all, f.of)
	}
	for _, f := range ppmFactors {
		all = append(all, f.of/1000)
	}
	for _, shows := range all {
		for _, expected := range all {
			if near := shows / expected / size; shows != expected && near > 0.999 && near < 1.001 {
				return name(shows), name(expected), true
			}
		}
	}
	return "", "", false
}
