package main

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
	"github.com/urfave/cli/v2"
)

// defaultSite is where outdoor air is taken to be read. Common practice, no source.
const defaultSite = "suburb"

// referenceSalt finds NaCl or KCl, says which of them table salt is, and refuses
// other kitchen salts with the reason.
func referenceSalt(text string) (solutions.Salt, error) {
	if err := plan.Refused(text); err != nil {
		return solutions.Salt{}, err
	}
	switch strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == '-' || r == '_' }), " ") {
	case "salt", "table salt", "tablesalt", "kitchen salt", "cooking salt", "food", "iodised salt", "iodized salt", "sodium chloride":
		return solutions.Salt{}, fmt.Errorf("%s is NaCl: write NaCl here, and weigh it with brinemark recipe --salt NaCl --grade food, which counts what else is in it", quantity.Quoted(text))
	case "potassium chloride":
		return solutions.Salt{}, fmt.Errorf("%s is KCl: write KCl", quantity.Quoted(text))
	}
	return solutions.SaltByFormula(text)
}

func saltReference(c *cli.Context) (reports.ReferenceMaker, error) {
	b, err := readSaltBottle(c)
	if err != nil {
		return reports.ReferenceMaker{}, err
	}
	if b.Temp, err = referenceTemp(c); err != nil {
		return reports.ReferenceMaker{}, err
	}
	if b.Display, err = readDisplay(c); err != nil {
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
	if u, known := in.U.Get(); known && !solutions.UWaterECRange.Contains(u) {
		return nil, usageError("--u-water-ec: %g uS/cm is out of range; want a %s from %s", u, solutions.UWaterECRange.Quantity, solutions.UWaterECRange)
	}
	if !given {
		if isGiven(c, "u-water-ec") {
			return nil, usageError("--u-water-ec needs --water-ec, the conductivity it belongs to")
		}
		return nil, nil
	}
	return &in, nil
}

func bufferReference(c *cli.Context) (reports.ReferenceMaker, error) {
	b, _, err := last[solutions.Buffer](c, "buffer")
	if err != nil {
		return reports.ReferenceMaker{}, err
	}
	if c.Bool("home-mixed") {
		if reason := b.Making.NotAtHome; reason != "" {
			return reports.ReferenceMaker{}, usageError("--home-mixed: buffer %s is not for mixing at home: %s", b.Name, reason)
		}
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
		if err := inRange(u, solutions.UGradientRange); err != nil {
			return reports.ReferenceMaker{}, usageError("--gradient: %v", err)
		}
		gradient.U = reports.Known(u.Value)
	}
	temp, err := referenceTemp(c)
	return reports.ForSaturated(s, temp, gradient), err
}

func boilingReference(c *cli.Context) (reports.ReferenceMaker, error) {
	pressure, given, err := referencePressure(c, "boiling point", solutions.BoilingPressureRange)
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
	pressure, given, err := referencePressure(c, "oxygen in air-saturated water", solutions.OxygenPressureRange)
	if err != nil {
		return reports.ReferenceMaker{}, err
	}
	if !given {
		if isGiven(c, "u-pressure") {
			return reports.ReferenceMaker{}, usageError("--u-pressure needs --pressure or --altitude, to which it belongs")
		}
		pressure.Value = solutions.StandardPressureKPa
		pressure.Flag = "--pressure and --u-pressure"
		pressure.Trial, pressure.TrialText = solutions.WeatherU, "3 kPa, as weather makes it"
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

// referencePressure is the air pressure, given or from the altitude. An altitude
// whose pressure lies outside the limits (kPa) of what is asked for is refused
// as an altitude.
func referencePressure(c *cli.Context, what string, limits solutions.Range) (in reports.ReferenceInput, given bool, err error) {
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
		if err := solutions.AltitudesFor(limits).Check(what, altitude.Value); err != nil {
			return in, false, err
		}
		p, err := solutions.PressureAtAltitude(altitude.Value)
		if err != nil {
			return in, false, err
		}
		in.Value = p.Nominal()
		if !isGiven(c, "u-pressure") {
			in.U = reports.Known(p.U())
			in.Source.Label = "air pressure (weather at that altitude)"
		}
	}
	measured, err := stated(c, &in, "pressure")
	return in, measured || hasAltitude, err
}

// stated reads a quantity and its standard uncertainty, in its unit or as a
// share of it, from the flags name and u-name into in.
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
	switch {
	case hasU && u.Kind == quantity.Fraction:
		in.U = reports.Known(u.Value * in.Value)
	case hasU:
		in.U = reports.Known(u.Value)
	}
	return given, nil
}
