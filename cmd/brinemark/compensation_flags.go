package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/urfave/cli/v2"
)

// What a meter is taken to do where nothing is said. Common practice, no source.
const (
	defaultAlpha    = 0.02
	defaultRefTempC = 25
)

var (
	displayUnits      = []string{tempcomp.MicroSiemensUnit, tempcomp.MilliSiemensUnit, tempcomp.PPMUnit}
	compensationRules = tempcomp.RuleNames()
)

// compensationFlags say how a meter corrects for temperature and on which scale
// it shows. Read them with readDisplay.
func compensationFlags() []cli.Flag {
	return append(scaleFlags(), []cli.Flag{
		wordFlag("compensation", "the meter's `RULE`: linear (the default), none or natural-water", compensationRules...),
		parsedFlag("alpha", "`COEFFICIENT` of linear compensation for each C (default 2.0%)", false, parseAlpha),
		quantityFlag("ref-temp", "reference `TEMPERATURE` of the compensation (default 25C)", quantity.Temperature),
	}...)
}

// scaleFlags say on which scale a meter shows. Read them with readScale.
func scaleFlags() []cli.Flag {
	return []cli.Flag{
		numberFlag("ppm-factor", "the meter shows ppm, `FACTOR` times uS/cm, such as 0.5"),
		parsedFlag("display", "the meter shows `UNIT`: uS/cm (the default), mS/cm or ppm", false, parseDisplayUnit),
	}
}

// parseDisplayUnit reads the unit of a display, the micro sign in any spelling.
func parseDisplayUnit(text string) (string, error) {
	ascii := strings.NewReplacer("\u00b5", "u", "\u03bc", "u", " ", "").Replace(text)
	unit, err := oneOf(ascii, displayUnits)
	if err != nil {
		_, err = oneOf(text, displayUnits) // in the words that were typed
	}
	return unit, err
}

// parseAlpha reads the coefficient of a linear compensation, "2%" or "2%/C", as
// a fraction for each C.
func parseAlpha(text string) (float64, error) {
	limits := tempcomp.AlphaRange()
	inPercent := func(x float64) string { return strconv.FormatFloat(100*x, 'g', 6, 64) + "%" }
	if bare, err := quantity.ParseNumber(text); err == nil && bare > 0 {
		switch {
		case bare <= limits.High:
			return 0, fmt.Errorf("%s has no unit; write %s", quantity.Quoted(text), inPercent(bare))
		case bare <= 100*limits.High:
			return 0, fmt.Errorf("%s has no unit; write %s", quantity.Quoted(text), inPercent(bare/100))
		}
	}
	short := strings.TrimSpace(text)
	for _, perDegree := range []string{"/C", "/K", "/\u00b0C", "/\u00baC", "/\u2103", "/degC"} {
		short = strings.TrimSuffix(strings.ReplaceAll(short, " ", ""), perDegree)
	}
	q, err := quantity.Parse(short, quantity.Fraction)
	if err != nil {
		return 0, err
	}
	if limits.Contains(q.Value) {
		return q.Value, nil
	}
	want := fmt.Sprintf("want 0%% to %s for each degree, mostly 1.9%% to 2.1%%", inPercent(limits.High))
	// A hint is a coefficient that meters have.
	const low, high = 0.005, 0.05
	for _, slip := range []float64{100, 10} {
		if meant := q.Value / slip; meant >= low && meant <= high {
			want = "write " + inPercent(meant)
			break
		}
	}
	return 0, fmt.Errorf("%s is out of range; %s", quantity.Quoted(text), want)
}

// readDisplay reads what compensationFlags declare.
func readDisplay(c *cli.Context) (d tempcomp.Display, err error) {
	if d.Scale, err = readScale(c); err != nil {
		return d, err
	}
	d.Rule, err = readRule(c)
	return d, err
}

// readScale reads what scaleFlags declare.
func readScale(c *cli.Context) (tempcomp.Scale, error) {
	var none tempcomp.Scale
	factor, hasFactor, err := getNumber(c, "ppm-factor")
	if err != nil {
		return none, err
	}
	unit, err := getWord(c, "display")
	switch {
	case err != nil:
		return none, err
	case unit == tempcomp.PPMUnit && !hasFactor:
		return none, usageError("--display ppm needs --ppm-factor, such as 0.5, 0.64 or 0.7: see the meter's manual")
	case unit != "" && unit != tempcomp.PPMUnit && hasFactor:
		return none, usageError("--ppm-factor belongs to a display in ppm, not in %s", unit)
	case hasFactor:
		unit = tempcomp.PPMUnit
	case unit == "":
		unit = tempcomp.MicroSiemensUnit
	}
	scale, err := tempcomp.ParseScale(unit, factor)
	if err != nil {
		return none, usageError("--ppm-factor: %v", err)
	}
	return scale, nil
}

func readRule(c *cli.Context) (tempcomp.Rule, error) {
	name, err := getWord(c, "compensation")
	if err != nil {
		return nil, err
	}
	if name == "" {
		name = tempcomp.LinearName
	}
	alpha, hasAlpha, err := last[float64](c, "alpha")
	if err != nil {
		return nil, err
	}
	ref, hasRef, err := getQuantity(c, "ref-temp")
	if err != nil {
		return nil, err
	}
	if hasAlpha && name != tempcomp.LinearName {
		return nil, usageError("--alpha belongs to --compensation linear, not to %s", name)
	}
	if hasRef && name == tempcomp.NoneName {
		return nil, usageError("--ref-temp has no meaning with --compensation none")
	}
	if !hasAlpha {
		alpha = defaultAlpha
	}
	if !hasRef {
		ref.Value = defaultRefTempC
	}
	return tempcomp.ParseRule(name, alpha, ref.Value)
}
