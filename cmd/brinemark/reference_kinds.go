package main

import (
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions"
	"github.com/urfave/cli/v2"
)

// What a meter is taken to do where nothing is said. Common practice, no source.
const (
	defaultAlpha    = 0.02
	defaultRefTempC = 25
	defaultSite     = "suburb"
)

var (
	displayUnits      = []string{tempcomp.MicroSiemensUnit, tempcomp.MilliSiemensUnit, tempcomp.PPMUnit}
	compensationRules = tempcomp.RuleNames()
)

func saltReference(c *cli.Context) (reports.ReferenceMaker, error) {
	var b reports.SaltBottle
	var err error
	if b.Salt, _, err = last[solutions.Salt](c, "salt"); err != nil {
		return reports.ReferenceMaker{}, err
	}
	if b.Strength, _, err = getQuantity(c, "strength"); err != nil {
		return reports.ReferenceMaker{}, err
	}
	b.Input = reports.ReferenceInput{
		Source: uncert.Source{ID: solutions.StrengthID, Label: "strength"}, Flag: "--u-strength",
		TrialShare: 0.01, TrialText: "1 %",
	}
	if u, given, err := getQuantity(c, "u-strength"); err != nil {
		return reports.ReferenceMaker{}, err
	} else if given {
		if err := b.StateStrength(u); err != nil {
			return reports.ReferenceMaker{}, usageError("--u-strength: %v", err)
		}
	}
	if b.Temp, err = referenceTemp(c); err != nil {
		return reports.ReferenceMaker{}, err
	}
	if b.Water, err = referenceWater(c); err != nil {
		return reports.ReferenceMaker{}, err
	}
	if b.Display, err = referenceDisplay(c); err != nil {
		return reports.ReferenceMaker{}, err
	}
	return reports.ForSalt(b), nil
}

// referenceWater is nil where the water's conductivity is not given.
func referenceWater(c *cli.Context) (*reports.ReferenceInput, error) {
	in := reports.ReferenceInput{
		Source: uncert.Source{ID: "water-ec", Label: "water's conductivity"}, Flag: "--u-water-ec",
		Trial: 1, TrialText: "1 uS/cm",
	}
	given, err := stated(c, &in, "water-ec")
	if err != nil {
		return nil, err
	}
	if !given {
		if isGiven(c, "u-water-ec") {
			return nil, usageError("--u-water-ec needs --water-ec, the conductivity it belongs to")
		}
		return nil, nil
	}
	return &in, nil
}

func referenceDisplay(c *cli.Context) (tempcomp.Display, error) {
	var d tempcomp.Display
	factor, hasFactor, err := getNumber(c, "ppm-factor")
	if err != nil {
		return d, err
	}
	unit, err := getWord(c, "display")
	switch {
	case err != nil:
		return d, err
	case unit == tempcomp.PPMUnit && !hasFactor:
		return d, usageError("--display ppm needs --ppm-factor, such as 0.5, 0.64 or 0.7: see the meter's manual")
	case unit != "" && unit != tempcomp.PPMUnit && hasFactor:
		return d, usageError("--ppm-factor belongs to a display in ppm, not in %s", unit)
	case hasFactor:
		unit = tempcomp.PPMUnit
	case unit == "":
		unit = tempcomp.MicroSiemensUnit
	}
	if d.Scale, err = tempcomp.ParseScale(unit, factor); err != nil {
		return d, usageError("--ppm-factor: %v", err)
	}
	d.Rule, err = referenceRule(c)
	return d, err
}

func referenceRule(c *cli.Context) (tempcomp.Rule, error) {
	name, err := getWord(c, "compensation")
	if err != nil {
		return nil, err
	}
	if name == "" {
		name = tempcomp.LinearName
	}
	alpha, hasAlpha, err := getQuantity(c, "alpha")
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
		alpha.Value = defaultAlpha
	}
	if !hasRef {
		ref.Value = defaultRefTempC
	}
	return tempcomp.ParseRule(name, alpha.Value, ref.Value)
}

func bufferReference(c *cli.Context) (reports.ReferenceMaker, error) {
	b, _, err := last[solutions.Buffer](c, "buffer")
	if err != nil {
		return reports.ReferenceMaker{}, err
	}
	if c.Bool("home-mixed") {
		b = b.HomeMixed()
	}
	temp, err := referenceTemp(c)
	return reports.ForBuffer(b, temp), err
}

func saturatedReference(c *cli.Context) (reports.ReferenceMaker, error) {
	s, _, err := last[solutions.SaturatedSalt](c, "saturated")
	if err != nil {
		return reports.ReferenceMaker{}, err
	}
	gradient := reports.ReferenceInput{
		U:      reports.Known(solutions.TypicalGradientC),
		Source: uncert.Source{ID: solutions.GradientID, Label: "sensor warmer or cooler than the salt"}, Flag: "--gradient",
	}
	if u, given, err := getQuantity(c, "gradient"); err != nil {
		return reports.ReferenceMaker{}, err
	} else if given {
		gradient.U = reports.Known(u.Value)
	}
	temp, err := referenceTemp(c)
	return reports.ForSaturated(s, temp, gradient), err
}

func boilingReference(c *cli.Context) (reports.ReferenceMaker, error) {
	pressure, given, err := referencePressure(c)
	switch {
	case err != nil:
		return reports.ReferenceMaker{}, err
	case given && c.Bool("table"):
		return reports.ReferenceMaker{}, usageError("give --pressure or --altitude for one point or --table for many, not both")
	case !given && !c.Bool("table"):
		return reports.ReferenceMaker{}, usageError("--boiling needs --pressure (station pressure, such as 95.0kPa) or --altitude (such as 1500m)")
	}
	return reports.ForBoiling(pressure), nil
}

func oxygenReference(c *cli.Context) (reports.ReferenceMaker, error) {
	pressure, given, err := referencePressure(c)
	if err != nil {
		return reports.ReferenceMaker{}, err
	}
	if !given {
		if isGiven(c, "u-pressure") {
			return reports.ReferenceMaker{}, usageError("--u-pressure needs --pressure or --altitude, to which it belongs")
		}
		pressure.Value = solutions.StandardPressureKPa
	}
	sample := reports.ReferenceInput{U: reports.Known(0), Source: uncert.Source{ID: "sample-ec", Label: "sample's conductivity"}}
	if q, has, err := getQuantity(c, "sample-ec"); err != nil {
		return reports.ReferenceMaker{}, err
	} else if has {
		sample.Value = q.Value
	}
	temp, err := referenceTemp(c)
	return reports.ForOxygen(temp, pressure, sample, !given), err
}

func freshAirReference(c *cli.Context) (reports.ReferenceMaker, error) {
	year, _, err := last[int](c, "year")
	if err != nil {
		return reports.ReferenceMaker{}, err
	}
	site, given, err := last[solutions.Site](c, "site")
	if err == nil && !given {
		site, err = solutions.SiteByName(defaultSite)
	}
	return reports.ForFreshAir(year, site), err
}

// referenceTemp is the temperature of the liquid or of the air.
func referenceTemp(c *cli.Context) (reports.ReferenceInput, error) {
	in := reports.ReferenceInput{
		Source: uncert.Source{ID: solutions.TemperatureID, Label: "temperature"}, Flag: "--u-temp",
		Trial: 0.5, TrialText: "0.5 C",
	}
	_, err := stated(c, &in, "temp")
	return in, err
}

// referencePressure is the air pressure, given or from the altitude.
func referencePressure(c *cli.Context) (in reports.ReferenceInput, given bool, err error) {
	in = reports.ReferenceInput{
		Source: uncert.Source{ID: solutions.PressureID, Label: "air pressure"}, Flag: "--u-pressure",
		Trial: 1, TrialText: "1 kPa",
	}
	altitude, hasAltitude, err := getQuantity(c, "altitude")
	if err != nil {
		return in, false, err
	}
	if hasAltitude {
		if isGiven(c, "pressure") {
			return in, false, usageError("--pressure and --altitude both say the air pressure; give the pressure, which is the better one")
		}
		p, err := solutions.PressureAtAltitude(altitude.Value)
		if err != nil {
			return in, false, err
		}
		in.Value, in.U = p.Nominal(), reports.Known(p.U())
		in.Source.Label = "air pressure (weather at that altitude)"
	}
	measured, err := stated(c, &in, "pressure")
	return in, measured || hasAltitude, err
}

// stated reads a quantity and its standard uncertainty from the flags name and
// u-name into in.
func stated(c *cli.Context, in *reports.ReferenceInput, name string) (given bool, err error) {
	q, given, err := getQuantity(c, name)
	if err != nil {
		return false, err
	}
	if given {
		in.Value = q.Value
	}
	u, hasU, err := getQuantity(c, "u-"+name)
	if err != nil {
		return given, err
	}
	if hasU {
		in.U = reports.Known(u.Value)
	}
	return given, nil
}
