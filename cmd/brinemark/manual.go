package main

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func manualCommand() *cli.Command {
	return &cli.Command{
		Name:  "manual",
		Usage: "print the manual page, for man",
		Description: `Everything that --help tells of all commands, as one page in roff. To read it, or to
install it:

   brinemark manual > brinemark.1
   man ./brinemark.1
   mkdir -p ~/.local/share/man/man1 && mv brinemark.1 ~/.local/share/man/man1/`,
		Action: func(c *cli.Context) error {
			if _, err := arguments(c); err != nil {
				return err
			}
			return render(c, &reports.Printed{Of: "manual page", Text: manualPage(c.App)})
		},
	}
}

// manualPage is the manual in the macros of man (groff_man(7)), from the table of
// commands.
func manualPage(app *cli.App) string {
	var m roff
	m.line(`.TH BRINEMARK 1 "" "brinemark %s" "User commands"`, roffText(version()))
	m.line(".nr HY 0\n.nh\n.ad l") // words are copied from here: none is parted
	m.section("NAME")
	m.line(`brinemark \- %s`, roffText(app.Usage))
	m.section("SYNOPSIS")
	m.line(".B brinemark")
	m.line(`.I COMMAND`)
	m.line(`[\fB\-\-flag\fR \fIvalue\fR ...] [\fIFILE\fR ...]`)
	m.section("DESCRIPTION")
	m.prose(app.Description)
	m.line(".PP")
	m.text(manualIntroduction)
	m.section("COMMANDS")
	m.commands("brinemark", app.Commands)
	m.section("FLAGS OF EVERY COMMAND")
	m.flags(app.Flags)
	m.section("EXIT STATUS")
	for _, s := range [][2]string{
		{"0", "Done."}, {"1", "Asked for rightly, but could not be done."},
		{"2", "Bad usage or bad input: the message names the file, the row and the column."},
		{"3", "With --check: done, but the verdict is not pass (or agree)."},
	} {
		m.tagged(s[0], "", s[1])
	}
	m.section("ENVIRONMENT")
	m.tagged("BRINEMARK_LOGBOOK", "", "The file of the record; --logbook goes before it.")
	m.tagged("NO_COLOR", "", "Set to anything, it switches colours off.")
	m.section("FILES")
	m.tagged("~/.local/share/brinemark/logbook.db", "", "The record, where nothing else is said: brinemark/logbook.db in XDG_DATA_HOME or its usual place, in ~/Library/Application Support on macOS, and in %LocalAppData% on Windows.")
	m.section("CAUTIONS")
	m.text("An aid for growers and makers: not a certified laboratory, and not a drinking-water, food-safety or medical instrument. Reference and stock solutions and buffers are not for drinking, dosing or feeding. Keep mains gear away from water. Local codes and licensed practice come first.")
	return m.String()
}

const manualIntroduction = "A quantity is a number with its unit: 1413uS/cm, 1.413mS/cm, 600mg/L, 0.01mol/kg, 600ppm@0.5, 500mL, 250g, 2%, 25C, 101.3kPa. Every ± is one standard uncertainty (k = 1); one that is not given is unknown, and 0 is exact."

// roff collects a page.
type roff struct{ strings.Builder }

func (m *roff) line(format string, args ...any) { fmt.Fprintf(m, format+"\n", args...) }

func (m *roff) section(title string) { m.line(".SH %s", title) }

// text writes a paragraph that is filled.
func (m *roff) text(text string) { m.line("%s", roffText(text)) }

// prose writes a description: paragraphs, and lines that stay as they are where
// they are set in.
func (m *roff) prose(text string) {
	var still, filled []string
	flush := func() {
		if len(filled) > 0 {
			m.text(strings.Join(filled, " "))
		}
		if len(still) > 0 {
			m.still(still)
		}
		still, filled = nil, nil
	}
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		switch setIn := strings.HasPrefix(line, " "); {
		case line == "":
			flush()
			m.line(".PP")
		case setIn:
			if len(filled) > 0 {
				flush()
			}
			still = append(still, line)
		default:
			if len(still) > 0 {
				flush()
			}
			filled = append(filled, line)
		}
	}
	flush()
}

// commands writes a section for each command that does something.
func (m *roff) commands(name string, list []*cli.Command) {
	for _, c := range list {
		if c.Hidden {
			continue
		}
		full := name + " " + c.Name
		m.line(".SS %s", roffText(full))
		m.text(upperFirst(c.Usage) + ".")
		if usage := commandUsage(c, full); usage != full {
			m.line(".PP")
			var lines []string
			for _, line := range strings.Split(usage, "\n") {
				lines = append(lines, strings.TrimSpace(line))
			}
			m.still(lines)
		}
		if c.Description != "" {
			m.line(".PP")
			m.prose(c.Description)
		}
		m.flags(c.Flags)
		m.commands(full, c.Subcommands)
	}
}

// flags writes each flag with its value and what it is for.
func (m *roff) flags(list []cli.Flag) {
	for _, f := range list {
		if label, placeholder, usage, ok := flagHelp(f); ok {
			m.tagged(label, placeholder, usage)
		}
	}
}

// tagged writes a word with what it means below.
func (m *roff) tagged(word, placeholder, text string) {
	m.line(".TP")
	if placeholder == "" {
		m.line(`\fB%s\fR`, roffText(word))
	} else {
		m.line(`\fB%s\fR \fI%s\fR`, roffText(word), roffText(placeholder))
	}
	m.text(upperFirst(text))
}

func upperFirst(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// roffText is text that roff takes for nothing else: no commands, no escapes, and
// characters beyond ASCII by their number.
func roffText(text string) string {
	var b strings.Builder
	for i, r := range text {
		switch {
		case r == '\\':
			b.WriteString(`\e`)
		case r == '-':
			b.WriteString(`\-`)
		case r == '\'' && i > 0:
			b.WriteString(`\(aq`)
		case r == '`':
			b.WriteString(`\(ga`)
		case r == '^':
			b.WriteString(`\(ha`)
		case r == '~':
			b.WriteString(`\(ti`)
		case i == 0 && (r == '.' || r == '\''):
			b.WriteString(`\&` + string(r))
		case r > '~':
			fmt.Fprintf(&b, `\[u%04X]`, r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
