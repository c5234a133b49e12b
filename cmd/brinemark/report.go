package main

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func reportCommand() *cli.Command {
	return &cli.Command{
		Name:  "report",
		Usage: "write all that is known of a meter as one page, for reading and for paper",
		UsageText: `brinemark report --meter ID [--out FILE] [--flag value ...]
brinemark report --all [--out FILE] [--flag value ...]`,
		Description: `Gathers what is on record of a meter: what it is and how it is today, its
calibrations with their uncertainty, its drift and when to check it again, the bottles
used with their values and sources, readings, conditions, method and traceability, in
the order in which ISO/IEC 17025 (7.8.2 and 7.8.4) asks for the content of a
calibration report. It is not a certificate of an accredited laboratory, and says so.

With --out it goes into a file: a page that needs no network and runs no script
(.html), Markdown (.md), text (.txt) or JSON (.json). Without, it is printed, as text
unless --format says otherwise. With --all, FILE is an index of the whole record, and
the page of each meter stands beside it.

   brinemark report --meter "tent pen" --out tent-pen.html
   brinemark report --meter "tent pen" --format markdown
   brinemark report --all --out index.html`,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "meter", Usage: "the meter `ID` on record"},
			&cli.BoolFlag{Name: "all", Usage: "the whole record: an index, and a page for each meter"},
			&cli.PathFlag{Name: "out", Usage: "write into `FILE` (- for standard output)"},
			wordFlag("format", "`FORMAT`: html, markdown, text or json (default: that of the ending of FILE; text without a file)", reportFormats()...),
			&cli.StringFlag{Name: "now", Usage: "take `TIME` for now, such as 2026-03-01"},
			&cli.StringFlag{Name: "by", Usage: "`WHO` made the readings"},
			&cli.StringFlag{Name: "place", Usage: "`WHERE` they were made"},
			&cli.StringFlag{Name: "for", Usage: "`WHOM` the report is for"},
		},
		Action: runReport,
	}
}

// reportFormat is a form a report can have.
type reportFormat struct {
	word    string
	endings []string // of files, the usual one first
	write   func(r writable, w io.Writer) error
}

// writable is a report, or the index of all.
type writable interface {
	reports.Result
	HTML(io.Writer) error
	Markdown(io.Writer) error
	JSON(io.Writer) error
}

var formats = []reportFormat{
	{"html", []string{".html", ".htm"}, writable.HTML},
	{"markdown", []string{".md", ".markdown"}, writable.Markdown},
	{"text", []string{".txt", ".text"}, func(r writable, w io.Writer) error { return r.Table(w, reports.Style{}) }},
	{"json", []string{".json"}, writable.JSON},
}

func reportFormats() []string {
	var out []string
	for _, f := range formats {
		out = append(out, f.word)
	}
	return out
}

// reportAsk is what is asked.
type reportAsk struct {
	meter, out string
	format     reportFormat
	drift      driftAsk
	now        time.Time
	by, place  string
	whom       string
}

func runReport(c *cli.Context) error {
	if _, err := arguments(c); err != nil {
		return err
	}
	ask, err := reportQuestion(c)
	if err != nil {
		return err
	}
	return withRecord(c, func(book *logbook.Book) error {
		if c.Bool("all") {
			return reportOfRecord(c, book, ask)
		}
		m, err := book.Meter(ask.meter)
		if err != nil {
			return err
		}
		r, err := reportOnRecord(book, m, ask)
		if err != nil {
			return err
		}
		if !ask.toFile() {
			if err := printReport(c, r, ask); err != nil {
				return err
			}
			return checkVerdict(c, r.VerdictWord())
		}
		if err := writeReport(c, ask.out, r, ask); err != nil {
			return err
		}
		if err := told(c, r, &reports.ReportWritten{Meter: r.Meter, State: r.StateText, Files: []string{ask.out}, More: r.Warnings}); err != nil {
			return err
		}
		return checkVerdict(c, r.VerdictWord())
	})
}

func reportQuestion(c *cli.Context) (ask reportAsk, err error) {
	ask = reportAsk{meter: c.String("meter"), out: c.Path("out"), by: c.String("by"), place: c.String("place"), whom: c.String("for")}
	switch all := c.Bool("all"); {
	case all && isGiven(c, "meter"):
		return ask, usageError("report takes --all or --meter, not both")
	case !all && ask.meter == "":
		return ask, usageError("report needs --meter ID, or --all for the whole record")
	case isGiven(c, "out") && ask.out == "":
		return ask, usageError("--out: the name is empty; want that of a file, such as report.html")
	}
	if ask.now, err = givenNow(c); err != nil {
		return ask, err
	}
	ask.drift.options.Now = ask.now
	word, err := getWord(c, "format")
	if err != nil {
		return ask, err
	}
	ask.format, err = chooseFormat(word, ask)
	return ask, err
}

// chooseFormat is the format asked for, else that of the file's ending, else
// text for a screen and a page for a file.
func chooseFormat(word string, ask reportAsk) (reportFormat, error) {
	if word == "" && ask.toFile() {
		ending := strings.ToLower(filepath.Ext(strings.TrimSuffix(ask.out, ".gz")))
		for _, f := range formats {
			for _, e := range f.endings {
				if e == ending {
					return f, nil
				}
			}
		}
		if ending != "" {
			return reportFormat{}, usageError("--out %s: no format goes by the ending %s; want a name that ends in .html, .md, .txt or .json, or say --format", quantity.Quoted(ask.out), quantity.Quoted(ending))
		}
		word = "html"
	}
	if word == "" {
		word = "text"
	}
	for _, f := range formats {
		if f.word == word {
			return f, nil
		}
	}
	return reportFormat{}, usageError("--format: there is no %s; want %s", quantity.Quoted(word), strings.Join(reportFormats(), ", "))
}

// toFile tells a file from standard output.
func (a reportAsk) toFile() bool { return a.out != "" && a.out != "-" }

// printReport writes a report to standard output: as the object of --json, as
// text with the screen's style, or in the format asked for. Warnings go to
// stderr beside a text; the other formats hold them.
func printReport(c *cli.Context, r writable, ask reportAsk) error {
	if c.Bool("json") || ask.format.word == "text" {
		return render(c, r)
	}
	var b bytes.Buffer
	if err := ask.format.write(r, &b); err != nil {
		return couldNotDo(err)
	}
	return write(c.App.Writer, b.Bytes())
}

// writeReport writes a report into a file, which keeps what it held if that
// fails.
func writeReport(c *cli.Context, path string, r writable, ask reportAsk) error {
	var b bytes.Buffer
	if err := ask.format.write(r, &b); err != nil {
		return couldNotDo(fmt.Errorf("make the report: %w", err))
	}
	return writeLog(c, path, func(w io.Writer) error {
		if _, err := w.Write(b.Bytes()); err != nil {
			return couldNotDo(fmt.Errorf("write %s: %w", path, err))
		}
		return nil
	})
}

// told says what was written: with --json the report itself.
func told(c *cli.Context, r writable, written *reports.ReportWritten) error {
	if c.Bool("json") {
		return render(c, r)
	}
	return render(c, written)
}
