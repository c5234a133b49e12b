package main

import (
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
	"github.com/urfave/cli/v2"
)

// What "recipe" and "recipe made" ask of the salt, the scale and the water.

// saltFlag takes NaCl or KCl, and refuses kitchen salts that are neither with
// the reason.
func saltFlag() *cli.GenericFlag {
	return parsedFlag("salt", "`SALT`: NaCl or KCl", false, func(text string) (solutions.Salt, error) {
		if err := plan.Refused(text); err != nil {
			return solutions.Salt{}, err
		}
		return solutions.SaltByFormula(text)
	})
}

// gradeFlag takes a grade; which of them a salt has is for the library to say.
func gradeFlag() *cli.GenericFlag {
	return parsedFlag("grade", "`GRADE` of the salt: reagent, or food (refined table salt); gives the purity unless --purity does", false, func(text string) (string, error) {
		if err := plan.Refused(text); err != nil {
			return "", err
		}
		return oneOf(text, []string{plan.GradeReagent, plan.GradeFood})
	})
}

func benchFlags() []cli.Flag {
	return []cli.Flag{
		gradeFlag(),
		quantityFlag("purity", "mass `FRACTION` of the salt in the dry matter, such as 99.5%", quantity.Fraction),
		uncertaintyFlag("u-purity", "standard `UNCERTAINTY` of the purity, such as 0.3%", quantity.Fraction),
		quantityFlag("moisture", "mass `FRACTION` of water in the salt as it is weighed (default: dried as the steps say)", quantity.Fraction),
		uncertaintyFlag("u-moisture", "standard `UNCERTAINTY` of the moisture", quantity.Fraction),
		quantityFlag("scale-step", "`STEP` of the scale (default 0.01g)", quantity.Mass),
		uncertaintyFlag("u-scale", "standard `UNCERTAINTY` of one weighing, the difference of two readings (default: one step)", quantity.Mass),
		quantityFlag("scale-max", "`CAPACITY` of the scale (default 200g)", quantity.Mass),
		quantityFlag("container", "`MASS` of the empty container on the scale, counted in (default 50g, or a fifth of the capacity)", quantity.Mass),
		uncertaintyFlag("linearity", "the data sheet's largest `DEVIATION` from a straight line, plus or minus (default: within --u-scale)", quantity.Mass),
		uncertaintyFlag("u-gain", "relative standard `UNCERTAINTY` of the scale's gain (default 0.1%; it drops out of what one scale weighs)", quantity.Fraction),
		quantityFlag("water-ec", "the water's own `CONDUCTIVITY` at 25 C", quantity.Conductivity),
		uncertaintyFlag("u-water-ec", "standard `UNCERTAINTY` of the water's conductivity", quantity.Conductivity),
		quantityFlag("temp", "`TEMPERATURE` of water and room (default 20C)", quantity.Temperature),
		uncertaintyFlag("u-temp", "standard `UNCERTAINTY` of the temperature", quantity.Temperature),
		quantityFlag("jug", "measure the bottles' water in a jug of this `SIZE` in place of the scale", quantity.Volume),
		uncertaintyFlag("u-volume", "standard `UNCERTAINTY` of one filling of the jug, full or in part; each has its own (default: 1% of the size)", quantity.Volume),
		uncertaintyFlag("u-marks", "relative standard `UNCERTAINTY` of the jug's marks, shared by all fillings (default: 1%, or within --u-volume where that is given)", quantity.Fraction),
	}
}

// readBench reads what benchFlags and saltFlag declare.
func readBench(c *cli.Context) (plan.Bench, error) {
	var b plan.Bench
	var jar plan.JarSpec
	var scale plan.ScaleSpec
	var water plan.WaterSpec
	var jug plan.JugSpec
	var size *float64
	for name, into := range map[string]**float64{
		"purity": &jar.Purity, "u-purity": &jar.UPurity, "moisture": &jar.Moisture, "u-moisture": &jar.UMoisture,
		"scale-step": &scale.StepG, "u-scale": &scale.UG, "linearity": &scale.LinearityG, "u-gain": &scale.UGain,
		"scale-max": &scale.CapacityG, "container": &scale.ContainerG,
		"water-ec": &water.EC25, "u-water-ec": &water.UEC25, "temp": &water.TempC, "u-temp": &water.UTempC,
		"jug": &size, "u-volume": &jug.UML, "u-marks": &jug.UMarks,
	} {
		x, err := figureOf(c, name)
		if err != nil {
			return b, err
		}
		*into = x
	}
	salt, _, err := last[solutions.Salt](c, "salt")
	if err != nil {
		return b, err
	}
	if jar.Grade, err = getWord(c, "grade"); err != nil {
		return b, err
	}
	if b.Jar, err = plan.NewJar(salt, jar); err != nil {
		return b, err
	}
	if b.Scale, err = plan.NewScale(scale); err != nil {
		return b, err
	}
	if b.Water, err = plan.NewWater(water); err != nil {
		return b, err
	}
	if size == nil {
		if jug.UML != nil || jug.UMarks != nil {
			return b, usageError("--u-volume and --u-marks need --jug")
		}
		return b, nil
	}
	jug.SizeML = *size
	j, err := plan.NewJug(jug)
	b.Jug = &j
	return b, err
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
