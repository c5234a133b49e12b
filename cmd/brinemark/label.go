package main

import (
	"cmp"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/reports/label"
	"github.com/urfave/cli/v2"
)

func labelCommand() *cli.Command {
	return &cli.Command{
		Name:      "label",
		Usage:     "print labels for bottles on record, with a code of their ID",
		ArgsUsage: "BOTTLE ...",
		Description: `A label says what is in the bottle, what it is worth at 25 C and how well that is
known, what common displays show in it, when it was made, until when it is good, and
that it is not for drinking. The code beside it (QR) is the bottle's ID.

   brinemark label A --out labels.html
   brinemark label --all --out labels.html --paper letter --size 70x37mm

The labels stand edge to edge in the middle of the sheet. Print at 100 %, without
margins, and cut along the dashes; --no-outline and --skip are for sheets that are cut
already. Cover the label with clear tape: it will be wet. The label of a bottle that is
past its date says so. A/2 is the second version of bottle A, weighed again or corrected.`,
		Flags: []cli.Flag{
			outFlag("write the labels to `FILE`: .html, or .svg for one sheet"),
			&cli.BoolFlag{Name: "all", Usage: "print labels for all bottles on record"},
			paperFlag(),
			parsedFlag("size", "`SIZE` of a label, such as 70x37mm (the default) or 2.6x1in", false, parseSheetSize),
			parsedFlag("copies", "print each label `N` times", false, parseCopies),
			parsedFlag("skip", "leave the first `N` places of the sheet out", false, parseCount),
			&cli.BoolFlag{Name: "no-outline", Usage: "draw no dashes around the labels"},
			nowFlag(),
		},
		Action: runLabel,
	}
}

// paperFlag chooses the paper. Read it with paperOf.
func paperFlag() *cli.GenericFlag {
	var names []string
	for _, p := range label.Papers() {
		names = append(names, strings.ToLower(p.Name))
	}
	return wordFlag("paper", "`PAPER` to print on: a4 (the default) or letter", names...)
}

func paperOf(c *cli.Context) (label.Paper, error) {
	name, err := getWord(c, "paper")
	if p, ok := label.PaperByName(name); ok {
		return p, err
	}
	return label.Papers()[0], err
}

// sheetSize is the size of a label in mm.
type sheetSize struct{ widthMM, heightMM float64 }

const mmPerInch = 25.4 // exact (international inch)

// parseSheetSize reads WIDTHxHEIGHT with its unit.
func parseSheetSize(text string) (sheetSize, error) {
	fault := fmt.Errorf("%s is no size of a label; want WIDTHxHEIGHT, such as %dx%dmm or 2.6x1in", quantity.Quoted(text), label.UsualWidthMM, label.UsualHeightMM)
	for unit, mm := range map[string]float64{"mm": 1, "cm": 10, "in": mmPerInch} {
		figures, ok := strings.CutSuffix(strings.ToLower(strings.TrimSpace(text)), unit)
		if !ok {
			continue
		}
		wide, high, ok := strings.Cut(figures, "x")
		if !ok {
			return sheetSize{}, fault
		}
		w, err := quantity.ParseNumber(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(wide), unit)))
		if err != nil {
			return sheetSize{}, fault
		}
		h, err := quantity.ParseNumber(strings.TrimSpace(high))
		if err != nil || w <= 0 || h <= 0 {
			return sheetSize{}, fault
		}
		return sheetSize{w * mm, h * mm}, nil
	}
	return sheetSize{}, fault
}

// mostCount is more labels than anybody prints at once.
const mostCount = 1000

// parseCount reads a whole number that may be 0, parseCopies one that may not.
func parseCount(text string) (int, error)  { return parseWhole(text, 0) }
func parseCopies(text string) (int, error) { return parseWhole(text, 1) }

func parseWhole(text string, least int) (int, error) {
	x, err := quantity.ParseNumber(strings.TrimSpace(text))
	if err != nil || x != float64(int(x)) || x < float64(least) || x > mostCount {
		return 0, fmt.Errorf("%s is no count; want a whole number from %d to %d", quantity.Quoted(text), least, mostCount)
	}
	return int(x), nil
}

// outFlag is the file a page is written to; it is needed. Read it with outFile.
func outFlag(usage string) *cli.PathFlag {
	return &cli.PathFlag{Name: "out", Usage: usage, Required: true}
}

// outFile is the file of --out and its ending in small letters, which is one of
// those given.
func outFile(c *cli.Context, endings ...string) (path, ending string, err error) {
	path = c.Path("out")
	ending = strings.ToLower(filepath.Ext(path))
	if !slices.Contains(endings, ending) {
		return "", "", usageError("--out %s: want a file whose name ends in %s", quantity.Quoted(path), strings.Join(endings, " or "))
	}
	return path, ending, nil
}

func runLabel(c *cli.Context) error {
	path, ending, err := outFile(c, ".html", ".svg")
	if err != nil {
		return err
	}
	names := c.Args().Slice()
	switch all := c.Bool("all"); {
	case all && len(names) > 0:
		return usageError("label takes the IDs of bottles, or --all for all of them, not both")
	case !all && len(names) == 0:
		return usageError("label needs the IDs of bottles, or --all for all of them")
	}
	of := reports.LabelsOf{}
	if of.Now, err = givenNow(c); err != nil {
		return err
	}
	if of.Layout, err = labelLayout(c); err != nil {
		return err
	}
	copies, given, err := last[int](c, "copies")
	switch {
	case err != nil:
		return err
	case !given:
		copies = 1
	}
	return withRecord(c, func(book *logbook.Book) error {
		if of.Bottles, of.Superseded, err = labelled(book, names); err != nil {
			return err
		}
		of.Copies = copies
		made, err := reports.NewLabels(of)
		if err != nil {
			return err
		}
		made.File = path
		if ending == ".svg" && made.Sheets != 1 {
			return usageError("--out %s: an SVG holds one sheet, and these are %d; want a file whose name ends in .html, or fewer bottles", quantity.Quoted(path), made.Sheets)
		}
		err = writeLog(c, path, func(w io.Writer) error {
			if ending == ".svg" {
				return couldNotDo(made.WriteSVG(w))
			}
			return couldNotDo(made.WriteHTML(w))
		})
		if err != nil {
			return err
		}
		return render(c, made)
	})
}

func labelLayout(c *cli.Context) (l label.Layout, err error) {
	if l.Paper, err = paperOf(c); err != nil {
		return l, err
	}
	size, given, err := last[sheetSize](c, "size")
	if err != nil {
		return l, err
	}
	if !given {
		size = sheetSize{label.UsualWidthMM, label.UsualHeightMM}
	}
	l.WidthMM, l.HeightMM, l.Bare = size.widthMM, size.heightMM, c.Bool("no-outline")
	l.Skip, _, err = last[int](c, "skip")
	return l, err
}

// labelled finds the bottles to print, by name or by the identity of a version;
// all current ones for no names. superseded says what took the place of one.
func labelled(book *logbook.Book, names []string) (list []logbook.Bottle, superseded map[string]string, err error) {
	if len(names) == 0 {
		list, err = book.Bottles(logbook.Current)
		if err == nil && len(list) == 0 {
			err = fmt.Errorf("there is no bottle on record; \"bottle add\" or \"recipe made --save\" puts one there")
		}
		slices.SortStableFunc(list, func(a, b logbook.Bottle) int { return asCounted(a.Name, b.Name) })
		return list, nil, err
	}
	superseded = map[string]string{}
	for _, name := range names {
		base, _, older := strings.Cut(name, "/")
		versions, err := book.BottleVersions(base)
		if err != nil {
			return nil, nil, err
		}
		at := len(versions) - 1
		if older {
			at = slices.IndexFunc(versions, func(b logbook.Bottle) bool { return strings.EqualFold(b.ID, name) })
			if at < 0 {
				return nil, nil, fmt.Errorf("bottle %s has no version %s: the last one is %s", versions[0].Name, quantity.Quoted(name), versions[len(versions)-1].ID)
			}
		}
		if at < len(versions)-1 {
			superseded[versions[at].ID] = versions[len(versions)-1].ID
		}
		if !slices.ContainsFunc(list, func(b logbook.Bottle) bool { return b.ID == versions[at].ID }) {
			list = append(list, versions[at])
		}
	}
	return list, superseded, nil
}

// asCounted orders names as people count them: bottle 2 before bottle 11.
func asCounted(a, b string) int {
	for a != "" && b != "" {
		x, y := figures(a), figures(b)
		if x == 0 || y == 0 {
			if a[0] != b[0] {
				return cmp.Compare(a[0], b[0])
			}
			a, b = a[1:], b[1:]
			continue
		}
		m, n := strings.TrimLeft(a[:x], "0"), strings.TrimLeft(b[:y], "0")
		if order := cmp.Or(cmp.Compare(len(m), len(n)), strings.Compare(m, n)); order != 0 {
			return order
		}
		a, b = a[x:], b[y:]
	}
	return cmp.Compare(len(a), len(b))
}

// figures is how many figures a text begins with.
func figures(text string) int { return len(text) - len(strings.TrimLeft(text, "0123456789")) }
