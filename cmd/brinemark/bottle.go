package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions"
	"github.com/urfave/cli/v2"
)

func bottleCommand() *cli.Command {
	return &cli.Command{
		Name:  "bottle",
		Usage: "put reference bottles on record, weigh them again, list and show them",
		Description: `A bottle on record stands in for a reference: calibrate and compare take its ID in the
column bottle and know what each meter should show in it, at each temperature.

   brinemark bottle add B7 --buffer 7.00 --made 2026-03-01
   brinemark bottle show A --meter "tent pen" --temp 18C`,
		Subcommands: []*cli.Command{
			bottleAddCommand(), bottleListCommand(), bottleShowCommand(), bottleWeighCommand(),
		},
	}
}

func bottleAddCommand() *cli.Command {
	return &cli.Command{
		Name:      "add",
		Usage:     "put a bottle on record",
		ArgsUsage: "ID",
		Description: `A bottle of a salt solution of known strength, bought or made elsewhere, or a pH buffer.
A bottle made here is put on record by "recipe made ... --save ID", with its weighings.

   brinemark bottle add K1413 --salt KCl --strength 1413uS/cm \
       --u-strength 0.5% --best-before 2027-01-31
   brinemark bottle add A --salt NaCl --strength 600mg/L --u-strength 0.3% \
       --source "stock 1" --u-shared 0.5% --made 2026-03-01
   brinemark bottle add B7 --buffer 7.00 --made 2026-03-01

Bottles of one --source share --u-shared fully: one error, the same sign. Every
uncertainty is a standard one (k = 1); one that is not given is unknown, 0 is exact.
With --correct the bottle gets a new version that takes the place of the one before, and
has only what is given now.`,
		Flags: append(append([]cli.Flag{
			offering(parsedFlag("salt", "`SALT` in it: NaCl or KCl", false, referenceSalt), saltWords()...),
			quantityFlag("strength", "`STRENGTH` of pure salt, such as 600mg/L or 1413uS/cm", quantity.Strengths()...),
			uncertaintyFlag("u-strength", "its own standard `UNCERTAINTY`, such as 0.5%", append([]quantity.Kind{quantity.Fraction}, quantity.Strengths()...)...),
			&cli.StringFlag{Name: "source", Usage: "`NAME` of what it was made from, such as \"stock 1\""},
			uncertaintyFlag("u-shared", "standard `UNCERTAINTY` it shares with all bottles of the source", append([]quantity.Kind{quantity.Fraction}, quantity.Strengths()...)...),
			quantityFlag("water-ec", "`CONDUCTIVITY` of the water at 25 C, to be added to the salt's", quantity.Conductivity),
			uncertaintyFlag("u-water-ec", "standard `UNCERTAINTY` of the water's conductivity", quantity.Conductivity),
			offering(parsedFlag("buffer", "pH buffer `NAME`: "+strings.Join(bufferNames(), ", "), false, solutions.BufferByName), bufferNames()...),
			&cli.BoolFlag{Name: "home-mixed", Usage: "the buffer was mixed at home: adds u = 0.010"},
		}, bottleDateFlags()...),
			quantityFlag("full-mass", "`MASS` of the closed full bottle, to weigh it again later", quantity.Mass),
			quantityFlag("empty-mass", "`MASS` of the empty bottle with its cap", quantity.Mass),
			quantityFlag("content-mass", "`MASS` of the solution in it", quantity.Mass),
			uncertaintyFlag("u-bottle-mass", "standard `UNCERTAINTY` of one weighing of the bottle", quantity.Mass),
			&cli.BoolFlag{Name: "correct", Usage: "take the place of what is on record under this ID"},
		),
		Action: runBottleAdd,
	}
}

// bottleDateFlags are what a bottle that is put on record may carry.
func bottleDateFlags() []cli.Flag {
	return []cli.Flag{
		parsedFlag("made", "`DAY` it was made or opened, such as 2026-03-01", false, parseDay),
		parsedFlag("best-before", "last `DAY` on which it is good (default: 90 days after it was made; a pH buffer 30)", false, parseDay),
		&cli.StringFlag{Name: "note", Usage: "`TEXT` to keep with it"},
	}
}

// saltWords are the salts a solution may be of.
func saltWords() []string {
	var out []string
	for _, s := range solutions.Salts() {
		out = append(out, s.Formula)
	}
	return out
}

// saturatedWords are the salts of humidity references.
func saturatedWords() []string {
	var out []string
	for _, s := range solutions.SaturatedSalts() {
		out = append(out, s.Formula)
	}
	return out
}

func bufferNames() []string {
	var out []string
	for _, b := range solutions.Buffers() {
		out = append(out, b.Name)
	}
	return out
}

// parseDay reads a calendar day.
func parseDay(text string) (string, error) {
	t, err := readings.ParseTime(text, time.UTC)
	if _, short := time.Parse(time.DateOnly, strings.TrimSpace(text)); err != nil || short != nil {
		return "", fmt.Errorf("%s is no day; want one such as 2026-03-01", quantity.Quoted(text))
	}
	return t.Format(time.DateOnly), nil
}

func runBottleAdd(c *cli.Context) error {
	args, err := arguments(c, "ID")
	if err != nil {
		return err
	}
	b, err := readBottle(c, args[0])
	if err != nil {
		return err
	}
	return changeRecord(c, true, func(book *logbook.Book) error { return saveBottle(c, book, b) })
}

// saveBottle puts a bottle on record and shows it.
func saveBottle(c *cli.Context, book *logbook.Book, b logbook.Bottle) error {
	warnings, err := placeBottle(c, book, &b)
	if err != nil {
		return err
	}
	if err := book.Save(&b); err != nil {
		return bottleTaken(err, b)
	}
	return render(c, reports.NewBottleAdded(b, warnings))
}

// placeBottle gives a bottle its place among its versions.
func placeBottle(c *cli.Context, book *logbook.Book, b *logbook.Bottle) (warnings []string, err error) {
	if warnings, err = clockWarning(book); err != nil {
		return nil, err
	}
	zone, err := timeZone(c)
	if err != nil {
		return nil, err
	}
	if today := now().In(zone).Format(time.DateOnly); b.MadeOn > today {
		warnings = append(warnings, fmt.Sprintf("bottle %s was made in the future, %s, and the clock says it is %s: is the day right?", b.Name, b.MadeOn, today))
	}
	if !c.Bool("correct") {
		return warnings, nil
	}
	old, err := book.Bottle(b.Name, time.Time{})
	if err != nil {
		return nil, err
	}
	shelf.Follow(b, old, zone)
	return warnings, nil
}

// bottleTaken says what to do where the name of a bottle is taken.
func bottleTaken(err error, b logbook.Bottle) error {
	if isOnRecord(err) {
		return fmt.Errorf("bottle %s is on record already; a bottle made anew has a new name, and --correct takes the place of what is on record", b.Name)
	}
	return err
}

// readBottle makes a bottle of the flags.
func readBottle(c *cli.Context, name string) (logbook.Bottle, error) {
	b := logbook.Bottle{Name: name}
	if err := checkNewName(c, name); err != nil {
		return b, err
	}
	var err error
	switch salt, buffer := isGiven(c, "salt"), isGiven(c, "buffer"); {
	case salt == buffer:
		return b, usageError("bottle add needs one of --salt and --buffer")
	case salt:
		err = readSolution(c, &b)
	default:
		err = readBuffer(c, &b)
	}
	if err == nil {
		err = readBottleDates(c, &b)
	}
	if err == nil {
		err = readBottleMasses(c, &b)
	}
	if err == nil {
		// What nothing can be said of is no reference.
		_, err = shelf.True(b, uncert.Exact(solutions.StrengthTempC))
	}
	return b, err
}

// readSolution reads salt, strength and water.
func readSolution(c *cli.Context, b *logbook.Bottle) error {
	for _, name := range []string{"home-mixed"} {
		if isGiven(c, name) {
			return usageError("--%s belongs to --buffer", name)
		}
	}
	salt, _, err := last[solutions.Salt](c, "salt")
	if err != nil {
		return err
	}
	strength, given, err := getQuantity(c, "strength")
	if err != nil {
		return err
	}
	if !given {
		return usageError("--salt needs --strength, such as 600mg/L or 1413uS/cm")
	}
	own, err := shareOfStrength(c, "u-strength", strength)
	if err != nil {
		return err
	}
	shared, err := shareOfStrength(c, "u-shared", strength)
	if err != nil {
		return err
	}
	source := c.String("source")
	if shared != nil && source == "" {
		return usageError("--u-shared needs --source, the name of what the bottles share")
	}
	if source != "" {
		if err := logbook.CheckName(source); err != nil {
			return usageError("--source: %v", err)
		}
	}
	if err := shelf.SetStrength(b, salt, strength, shelf.StrengthDoubt{Own: own, Source: source, Shared: shared}); err != nil {
		return err
	}
	ec, err := figureOf(c, "water-ec")
	if err != nil {
		return err
	}
	u, err := figureOf(c, "u-water-ec")
	if err != nil {
		return err
	}
	if ec == nil && u != nil {
		return usageError("--u-water-ec needs --water-ec, the conductivity it belongs to")
	}
	return shelf.SetWater(b, ec, u)
}

// shareOfStrength reads an uncertainty of the strength, in percent or in its
// own unit, as a figure in that unit.
func shareOfStrength(c *cli.Context, name string, strength quantity.Quantity) (*float64, error) {
	u, given, err := getQuantity(c, name)
	if err != nil || !given {
		return nil, err
	}
	x, err := shelf.UncertaintyOf(strength, u)
	if err != nil {
		return nil, usageError("--%s: %v", name, err)
	}
	return &x, nil
}

// readBuffer reads what is said of a pH buffer.
func readBuffer(c *cli.Context, b *logbook.Bottle) error {
	for _, name := range []string{"strength", "u-strength", "source", "u-shared", "water-ec", "u-water-ec", "content-mass", "full-mass", "empty-mass", "u-bottle-mass"} {
		if isGiven(c, name) {
			return usageError("--%s belongs to --salt, not to --buffer", name)
		}
	}
	buffer, _, err := last[solutions.Buffer](c, "buffer")
	if err != nil {
		return err
	}
	return shelf.SetBuffer(b, buffer, c.Bool("home-mixed"))
}

// readBottleDates reads bottleDateFlags.
func readBottleDates(c *cli.Context, b *logbook.Bottle) error {
	made, given, err := last[string](c, "made")
	if err != nil {
		return err
	}
	if given {
		b.MadeOn = made
	}
	before, given, err := last[string](c, "best-before")
	if err != nil {
		return err
	}
	if b.BestBefore = before; !given {
		b.BestBefore = shelf.GoodUntil(*b)
	}
	b.Note = c.String("note")
	return nil
}

// readBottleMasses reads what the bottle weighs.
func readBottleMasses(c *cli.Context, b *logbook.Bottle) error {
	for name, into := range map[string]**float64{
		"full-mass": &b.FullG, "empty-mass": &b.EmptyG, "content-mass": &b.ContentG, "u-bottle-mass": &b.UWeighingG,
	} {
		if x, err := figureOf(c, name); err != nil {
			return err
		} else if x != nil {
			*into = x
		}
	}
	return nil
}
