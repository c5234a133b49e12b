package main

import (
	"errors"
	"fmt"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions/plan"
	"github.com/urfave/cli/v2"
)

// namesOfThings are the flags that say what a bottle shares with others.
var namesOfThings = []string{"jar", "scale", "water", "stock", "second-stock"}

// saveBottleFlags put a bottle that was made on record.
func saveBottleFlags() []cli.Flag {
	return append([]cli.Flag{
		&cli.StringFlag{Name: "save", Usage: "put the bottle on record under this `NAME`"},
		&cli.StringFlag{Name: "stock", Usage: "`NAME` of the stock (default: its masses and the day)"},
		&cli.StringFlag{Name: "second-stock", Usage: "`NAME` of the second stock (default: its masses and the day)"},
		&cli.StringFlag{Name: "jar", Usage: "`NAME` of the jar of salt (default: formula, grade and purity)"},
		&cli.StringFlag{Name: "scale", Usage: "`NAME` of the scale (default: its step)"},
		&cli.StringFlag{Name: "water", Usage: "`NAME` of the water (default: its conductivity and the day)"},
		&cli.BoolFlag{Name: "correct", Usage: "take the place of the bottle that is on record under this name"},
	}, bottleDateFlags()...)
}

// readNames reads what the bottle and the things it is made with are called;
// nil where it is not kept.
func readNames(c *cli.Context) (*shelf.Names, error) {
	if !isGiven(c, "save") {
		for _, name := range append([]string{"made", "best-before", "note", "correct"}, namesOfThings...) {
			if isGiven(c, name) {
				return nil, usageError("--%s is about a bottle that is kept; it needs --save NAME", name)
			}
		}
		return nil, nil
	}
	for _, x := range []struct{ name, needs string }{{"stock", "stock-salt-mass"}, {"second-stock", "second-stock-mass"}} {
		if isGiven(c, x.name) && !isGiven(c, x.needs) {
			return nil, usageError("--%s names what the bottle was made from, and needs its masses: --%s and the rest", x.name, x.needs)
		}
	}
	n := &shelf.Names{Bottle: c.String("save"), Jar: c.String("jar"), Scale: c.String("scale"), Water: c.String("water"),
		Stock: c.String("stock"), SecondStock: c.String("second-stock")}
	for _, name := range namesOfThings {
		if isGiven(c, name) && c.String(name) == "" {
			return nil, usageError("--%s: found nothing; want a name", name)
		}
	}
	if err := n.Check(); err != nil {
		return nil, usageError("%v", err)
	}
	if err := checkNewName(c, n.Bottle); err != nil {
		return nil, err
	}
	zone, err := timeZone(c)
	if err != nil {
		return nil, err
	}
	made, given, err := last[string](c, "made")
	if n.MadeOn = made; !given {
		n.MadeOn = now().In(zone).Format(time.DateOnly)
	}
	return n, err
}

// keepMade puts a bottle that was made on record and shows it.
func keepMade(c *cli.Context, names shelf.Names, m plan.Made, masses *plan.Reweighed) error {
	if masses != nil && m.Loss == nil {
		if err := m.CheckFull(*masses); err != nil {
			return err
		}
	}
	b, err := shelf.Made(m, names.Bottle, masses)
	if err != nil {
		return err
	}
	b.MadeOn = names.MadeOn
	if err := readBottleDates(c, &b); err != nil {
		return err
	}
	shown := reports.NewRecipeMade(m)
	if b.Made, err = shown.Keepsake(m); err != nil {
		return err
	}
	return changeRecord(c, true, func(book *logbook.Book) error {
		warnings, err := placeMade(c, book, &b)
		if err != nil {
			return err
		}
		rows := []logbook.Record{&b}
		saved := &b
		if m.Loss != nil {
			b.ID = logbook.VersionID(b.Name, b.Supersedes)
			weighed := shelf.MadeAndWeighed(m, b, *masses, now())
			rows, saved = append(rows, &weighed), &weighed
		}
		if err := book.Save(rows...); err != nil {
			return bottleTaken(err, b)
		}
		shown.OnRecord(*saved, warnings)
		noteUsual(c, "scale-step", "u-scale")
		return render(c, shown)
	})
}

// placeMade gives a bottle its place among its versions, and looks for its
// stock among those on record.
func placeMade(c *cli.Context, book *logbook.Book, b *logbook.Bottle) (warnings []string, err error) {
	if warnings, err = placeBottle(c, book, b); err != nil {
		return nil, err
	}
	if c.Bool("correct") && !isGiven(c, "made") {
		old, err := book.Bottle(b.Name, time.Time{})
		if err != nil {
			return nil, err
		}
		if old.MadeOn != b.MadeOn {
			warnings = append(warnings, fmt.Sprintf("bottle %s is taken as made anew today; on record it was made on %q: where that is the bottle meant, correct it again with --made", b.Name, old.MadeOn))
		}
	}
	record, err := book.Bottles(logbook.Current)
	if err != nil {
		return nil, err
	}
	other, twin := shelf.Stocks(*b, record)
	switch {
	case other != "" && !c.Bool("correct"):
		return nil, errors.New(other)
	case other != "":
		warnings = append(warnings, other)
	}
	if twin != "" {
		warnings = append(warnings, twin)
	}
	return warnings, nil
}
