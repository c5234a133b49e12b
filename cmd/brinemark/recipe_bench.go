package main

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
	"github.com/urfave/cli/v2"
)

// What "recipe" and "recipe made" ask of the salt, the scale and the water.

// saltFlag takes NaCl or KCl, and refuses kitchen salts that are neither with
// the reason.
func saltFlag() *cli.GenericFlag {
	return offering(parsedFlag("salt", "`SALT`: NaCl or KCl", false, plan.SaltByName), saltWords()...)
}

// gradeFlag takes a grade; which of them a salt has is for the library to say.
func gradeFlag() *cli.GenericFlag {
	return offering(parsedFlag("grade", "`GRADE` of the salt: reagent, or food (refined table salt, iodised or not); gives the purity unless --purity does (default: reagent, with a warning)", false, func(text string) (string, error) {
		if err := plan.Refused(text); err != nil {
			return "", err
		}
		if plan.OrdinarySalt(text) {
			return plan.GradeFood, nil
		}
		return oneOf(text, []string{plan.GradeReagent, plan.GradeFood})
	}), plan.GradeReagent, plan.GradeFood)
}

// benchFlags describe salt, scale and water.
func benchFlags() []cli.Flag {
	return []cli.Flag{
		gradeFlag(),
		rangedFlag("purity", "mass `FRACTION` of the salt in the dry matter, such as 99.5% (default: by the grade)", quantity.Fraction, plan.PurityRange),
		boundedFlag("u-purity", "standard `UNCERTAINTY` of the purity, such as 0.3%", quantity.Fraction, plan.UPurityRange),
		rangedFlag("moisture", "mass `FRACTION` of water in the salt as it is weighed (default: dried as the steps say)", quantity.Fraction, plan.MoistureRange),
		boundedFlag("u-moisture", "standard `UNCERTAINTY` of the moisture", quantity.Fraction, plan.UMoistureRange),
		rangedFlag("scale-step", "`STEP` of the scale (default: 0.01g)", quantity.Mass, plan.StepRange),
		boundedFlag("u-scale", "standard `UNCERTAINTY` of one weighing, the difference of two readings (default: one step)", quantity.Mass, plan.UWeighingRange),
		rangedFlag("scale-max", "`CAPACITY` of the scale (default: 200g)", quantity.Mass, plan.CapacityRange),
		rangedFlag("container", "`MASS` of the empty container on the scale, counted in (default: a fifth of the capacity up to 250g, 50g up to 1kg, a twentieth beyond)", quantity.Mass, plan.ContainerRange),
		boundedFlag("linearity", "the data sheet's largest `DEVIATION` from a straight line, plus or minus (default: within --u-scale)", quantity.Mass, plan.LinearityRange),
		boundedFlag("u-gain", "relative standard `UNCERTAINTY` of the scale's gain (default: 0.1%; it drops out of what one scale weighs)", quantity.Fraction, plan.GainRange),
		rangedFlag("water-ec", "the water's own `CONDUCTIVITY` at 25 C (default: unknown, left out with a warning)", quantity.Conductivity, solutions.WaterECRange),
		boundedFlag("u-water-ec", "standard `UNCERTAINTY` of the water's conductivity", quantity.Conductivity, solutions.UWaterECRange),
		roomTempFlag(),
		boundedFlag("u-temp", "standard `UNCERTAINTY` of the temperature (default: 3C where --temp is not given)", quantity.Temperature, plan.UTempRange),
		rangedFlag("jug", "measure the bottles' water in a jug of this `SIZE` in place of the scale", quantity.Volume, plan.JugRange),
		boundedFlag("u-volume", "standard `UNCERTAINTY` of one filling of the jug, full or in part; each has its own (default: 1% of the size)", quantity.Volume, plan.UFillingRange),
		boundedFlag("u-marks", "relative standard `UNCERTAINTY` of the jug's marks, shared by all fillings (default: 1%, or within --u-volume where that is given)", quantity.Fraction, plan.UMarksRange),
	}
}

// boundedFlag is an uncertaintyFlag of one kind with a range of its own.
func boundedFlag(name, usage string, kind quantity.Kind, limits solutions.Range) *cli.GenericFlag {
	return parsedFlag(name, usage, false, func(text string) (quantity.Quantity, error) {
		q, err := quantity.ParseUncertainty(text, kind)
		if err != nil {
			return q, err
		}
		return q, inRange(q, limits)
	})
}

// roomTempFlag keeps the library's message, which knows of degrees Fahrenheit.
func roomTempFlag() *cli.GenericFlag {
	return parsedFlag("temp", "`TEMPERATURE` of water and room (default: 20C)", false, func(text string) (quantity.Quantity, error) {
		q, err := quantity.Parse(text, quantity.Temperature)
		if err != nil {
			return q, err
		}
		return q, plan.WaterTempRange.Check("water", q.Value)
	})
}

// benchSpec is what a person says of the things on the bench.
type benchSpec struct {
	jar   plan.JarSpec
	scale plan.ScaleSpec
	water plan.WaterSpec
	jug   plan.JugSpec
}

// readBench reads what benchFlags and saltFlag declare. identify gives the
// things of a bottle that is kept their identities; nil: nothing is kept.
func readBench(c *cli.Context, identify func(salt solutions.Salt, bench *benchSpec)) (plan.Bench, error) {
	var b plan.Bench
	var spec benchSpec
	jar, scale, water, jug := &spec.jar, &spec.scale, &spec.water, &spec.jug
	var size *float64
	for _, flag := range []struct {
		name string
		into **float64
	}{
		{"purity", &jar.Purity}, {"u-purity", &jar.UPurity}, {"moisture", &jar.Moisture}, {"u-moisture", &jar.UMoisture},
		{"scale-step", &scale.StepG}, {"u-scale", &scale.UG}, {"linearity", &scale.LinearityG}, {"u-gain", &scale.UGain},
		{"scale-max", &scale.CapacityG}, {"container", &scale.ContainerG},
		{"water-ec", &water.EC25}, {"u-water-ec", &water.UEC25}, {"temp", &water.TempC}, {"u-temp", &water.UTempC},
		{"jug", &size}, {"u-volume", &jug.UML}, {"u-marks", &jug.UMarks},
	} {
		x, err := figureOf(c, flag.name)
		if err != nil {
			return b, err
		}
		*flag.into = x
	}
	salt, _, err := last[solutions.Salt](c, "salt")
	if err != nil {
		return b, err
	}
	if jar.Grade, err = getWord(c, "grade"); err != nil {
		return b, err
	}
	if size != nil {
		jug.SizeML = *size
	}
	if identify != nil {
		identify(salt, &spec)
	}
	if b.Jar, err = plan.NewJar(salt, spec.jar); err != nil {
		return b, err
	}
	if b.Scale, err = plan.NewScale(spec.scale); err != nil {
		return b, err
	}
	if b.Water, err = plan.NewWater(spec.water); err != nil {
		return b, err
	}
	if size == nil {
		if jug.UML != nil || jug.UMarks != nil {
			return b, usageError("--u-volume and --u-marks need --jug")
		}
		return b, nil
	}
	j, err := plan.NewJug(spec.jug)
	b.Jug = &j
	return b, err
}

// typedBench repeats the flags of benchFlags as they were typed, for a command
// that a person copies.
func typedBench(c *cli.Context) []string {
	var out []string
	for _, f := range benchFlags() {
		name := f.Names()[0]
		if generic := c.Generic(name); isGiven(c, name) && generic != nil {
			out = append(out, "--"+name+" "+shellWord(fmt.Sprint(generic)))
		}
	}
	return out
}

// shellWord quotes a word that a shell would not leave as it is.
func shellWord(word string) string {
	plain := func(r rune) bool {
		return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("%@.,:+-_/=", r)
	}
	if strings.IndexFunc(word, func(r rune) bool { return !plain(r) }) < 0 {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

// figureOf reads a quantity flag in its base unit; nil where it is not given.
func figureOf(c *cli.Context, name string) (*float64, error) {
	q, given, err := getQuantity(c, name)
	if err != nil || !given {
		return nil, err
	}
	return &q.Value, nil
}

// baseValues are the values of quantities in their base units.
func baseValues(qs []quantity.Quantity) []float64 {
	var out []float64
	for _, q := range qs {
		out = append(out, q.Value)
	}
	return out
}

// noteUsual says on stderr which of the flags were not given, so that the usual
// figure was taken. JSON has it among its assumptions.
func noteUsual(c *cli.Context, names ...string) {
	var missing []string
	for _, name := range names {
		if !isGiven(c, name) {
			missing = append(missing, "--"+name)
		}
	}
	if len(missing) > 0 && !c.Bool("json") {
		note(c, "%s not given: usual figures are taken, see \"Taken as given\"", strings.Join(missing, ", "))
	}
}
