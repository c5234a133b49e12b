package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions"
	"github.com/urfave/cli/v2"
)

// referenceKind is one kind of reference: the flag that asks for it, the flags
// that go with it, and how it is made from them.
type referenceKind struct {
	flag  string
	needs []string // of these, with a table those it does not run along
	takes []string
	make  func(c *cli.Context) (reports.ReferenceMaker, error)
}

var referenceKinds = []referenceKind{
	{"salt", []string{"strength", "temp"}, []string{"u-strength", "u-temp", "water-ec", "u-water-ec", "ppm-factor", "display", "compensation", "alpha", "ref-temp"}, saltReference},
	{"buffer", []string{"temp"}, []string{"u-temp", "home-mixed"}, bufferReference},
	{"saturated", []string{"temp"}, []string{"u-temp", "gradient"}, saturatedReference},
	{"ice", nil, nil, func(*cli.Context) (reports.ReferenceMaker, error) { return reports.ForIce(), nil }},
	{"boiling", nil, []string{"pressure", "u-pressure", "altitude"}, boilingReference},
	{"oxygen", []string{"temp"}, []string{"u-temp", "pressure", "u-pressure", "altitude", "sample-ec"}, oxygenReference},
	{"fresh-air", []string{"year"}, []string{"site"}, freshAirReference},
}

// tableFlags go with every kind; tableOnly of them mean nothing without a table.
var (
	tableOnly  = []string{"from", "to", "step"}
	tableFlags = append([]string{"table"}, tableOnly...)
)

func referenceCommand() *cli.Command {
	return &cli.Command{
		Name:  "reference",
		Usage: "what a faultless probe reads in a reference, with its uncertainty",
		Description: `One kind of reference for each call: --salt, --buffer, --saturated, --ice, --boiling,
--oxygen or --fresh-air.

   brinemark reference --salt NaCl --strength 600mg/L --temp 18C --u-temp 0.2C \
       --u-strength 1% --ppm-factor 0.5
   brinemark reference --buffer borax --temp 18C
   brinemark reference --saturated NaCl --temp 18C
   brinemark reference --ice
   brinemark reference --boiling --pressure 95.0kPa
   brinemark reference --oxygen --temp 18C --altitude 300m --sample-ec 2mS/cm
   brinemark reference --fresh-air --year 2026 --site suburb
   brinemark reference --salt KCl --strength 1413uS/cm --table --from 15C \
       --to 30C

Every uncertainty is a standard one (one standard deviation, k = 1). One that is not
given is unknown and left out: the result says so beside the number, and a warning what
it may cost. 0 is exact. A --strength in uS/cm is the salt's own conductivity at 25 C.`,
		Flags:  referenceFlags(),
		Action: runReference,
	}
}

func referenceFlags() []cli.Flag {
	return slices.Concat([]cli.Flag{
		offering(parsedFlag("salt", "conductivity of a solution of `SALT`: NaCl or KCl", false, referenceSalt), saltWords()...),
		offering(parsedFlag("buffer", "pH of the buffer `NAME`: tetroxalate, tartrate, phthalate, phosphate, phosphate-3.5, borax, carbonate, 4.00, 7.00 or 10.01", false, solutions.BufferByName), bufferNames()...),
		offering(parsedFlag("saturated", "humidity over a saturated solution of `SALT`: LiCl, MgCl2, K2CO3, Mg(NO3)2, NaCl, KCl or K2SO4", false, solutions.SaturatedSaltByFormula), saturatedWords()...),
		&cli.BoolFlag{Name: "ice", Usage: "temperature of melting ice"},
		&cli.BoolFlag{Name: "boiling", Usage: "temperature of boiling water, by --pressure or --altitude"},
		&cli.BoolFlag{Name: "oxygen", Usage: "oxygen in air-saturated water"},
		&cli.BoolFlag{Name: "fresh-air", Usage: "carbon dioxide of outdoor air in a --year: common practice, not a reference gas"},

		quantityFlag("temp", "`TEMPERATURE` of the reference", quantity.Temperature),
		uncertaintyFlag("u-temp", "standard `UNCERTAINTY` of the temperature", quantity.Temperature),
	}, strengthFlags(), compensationFlags(), []cli.Flag{
		&cli.BoolFlag{Name: "home-mixed", Usage: "the buffer was mixed at home: adds u = 0.010"},
		uncertaintyFlag("gradient", "standard `UNCERTAINTY` of the temperature of the sensor minus that of the salt (default 0.1C)", quantity.Temperature),
		quantityFlag("pressure", "air `PRESSURE` at the place (station pressure), such as 95.0kPa or 950hPa", quantity.Pressure),
		uncertaintyFlag("u-pressure", "standard `UNCERTAINTY` of the pressure", quantity.Pressure),
		quantityFlag("altitude", "`ALTITUDE` in place of a pressure: the weather then costs 3 kPa", quantity.Length),
		quantityFlag("sample-ec", "`CONDUCTIVITY` of the sample at 25 C (default: fresh water)", quantity.Conductivity),
		parsedFlag("year", "calendar `YEAR` of the outdoor air", false, parseYear),
		parsedFlag("site", "`PLACE` of the outdoor air: country, suburb (the default) or city", false, solutions.SiteByName),

		&cli.BoolFlag{Name: "table", Usage: "a table instead of one point: 5 to 35 C (boiling: by pressure; fresh air: by year)"},
		quantityFlag("from", "first `ROW` of the table, such as 15C (boiling: 95kPa)", quantity.Temperature, quantity.Pressure),
		quantityFlag("to", "last `ROW` of the table", quantity.Temperature, quantity.Pressure),
		quantityFlag("step", "`STEP` of the table (default 1C)", quantity.Temperature, quantity.Pressure),
	})
}

func runReference(c *cli.Context) error {
	if _, err := arguments(c); err != nil {
		return err
	}
	kind, err := chooseReference(c)
	if err != nil {
		return err
	}
	if err := kind.check(c); err != nil {
		return err
	}
	maker, err := kind.make(c)
	if err != nil {
		return err
	}
	if !c.Bool("table") {
		r, err := reports.NewReference(maker)
		if err != nil {
			return err
		}
		return render(c, r)
	}
	grid, err := referenceGrid(c, maker)
	if err != nil {
		return err
	}
	t, err := reports.NewReferenceTable(maker, grid)
	if err != nil {
		return err
	}
	return render(c, t)
}

// chooseReference finds the one kind that was asked for.
func chooseReference(c *cli.Context) (referenceKind, error) {
	var all, asked []string
	var chosen referenceKind
	for _, k := range referenceKinds {
		all = append(all, "--"+k.flag)
		if isGiven(c, k.flag) {
			asked, chosen = append(asked, "--"+k.flag), k
		}
	}
	switch len(asked) {
	case 0:
		return chosen, usageError("reference needs one of %s", strings.Join(all, ", "))
	case 1:
		return chosen, nil
	}
	return chosen, usageError("%s are different references; ask for one in each call", strings.Join(asked, " and "))
}

// check refuses flags that belong to another kind, and missing ones.
func (k referenceKind) check(c *cli.Context) error {
	own := make(map[string]bool)
	for _, name := range append(append(append([]string{}, k.needs...), k.takes...), tableFlags...) {
		own[name] = true
	}
	for _, other := range referenceKinds {
		for _, name := range append(append([]string{}, other.needs...), other.takes...) {
			if isGiven(c, name) && !own[name] {
				return usageError("--%s does not go with --%s; it belongs to %s", name, k.flag, strings.Join(takers(name), " and "))
			}
		}
	}
	for _, name := range k.needs {
		along := c.Bool("table") && (name == "temp" || name == "year")
		switch {
		case along && isGiven(c, name):
			return usageError("give --%s for one point or --table for many, not both", name)
		case !along && !isGiven(c, name):
			return usageError("--%s needs --%s", k.flag, strings.Join(k.needs, " and --"))
		}
	}
	for _, name := range tableOnly {
		if isGiven(c, name) && !c.Bool("table") {
			return usageError("--%s goes with --table", name)
		}
	}
	return nil
}

// takers are the kinds a flag goes with.
func takers(flag string) []string {
	var out []string
	for _, k := range referenceKinds {
		for _, name := range append(append([]string{}, k.needs...), k.takes...) {
			if name == flag {
				out = append(out, "--"+k.flag)
			}
		}
	}
	return out
}

// isGiven tells whether a flag has a value; a switch that is set to false has
// none.
func isGiven(c *cli.Context, name string) bool {
	for _, f := range c.Command.Flags {
		if _, isSwitch := f.(*cli.BoolFlag); isSwitch && f.Names()[0] == name {
			return c.Bool(name)
		}
	}
	return c.IsSet(name)
}

// referenceGrid reads the rows of a table.
func referenceGrid(c *cli.Context, m reports.ReferenceMaker) (reports.Grid, error) {
	var g reports.Grid
	for i, into := range []*reports.Number{&g.From, &g.To, &g.Step} {
		name := tableOnly[i]
		q, given, err := getQuantity(c, name)
		if err != nil {
			return g, err
		}
		if !given {
			continue
		}
		kind, has := m.AxisKind()
		if !has {
			return g, usageError("--%s: the rows of this table are fixed", name)
		}
		if q.Kind != kind {
			return g, usageError("--%s %s: this table runs along the %s", name, q, kind)
		}
		*into = reports.Known(q.Value)
	}
	return g, nil
}

func parseYear(text string) (int, error) {
	year, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil {
		return 0, fmt.Errorf("%s is not a year; want one such as 2026", quantity.Quoted(text))
	}
	return year, nil
}
