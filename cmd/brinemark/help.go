package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// helpText is the help of the program, or of one command of it (path is its
// words; command is nil for the program). It is written here and not by the
// cli library, whose help leaves out the flags of every command and does not
// keep to the width of a screen.
func helpText(app *cli.App, command *cli.Command, path []string) []byte {
	var b bytes.Buffer
	if command == nil {
		fmt.Fprintf(&b, "%s\n\n  brinemark COMMAND [--flag value ...] [FILE ...]\n\n", app.Usage)
		writeProse(&b, app.Description)
		writeCommands(&b, "Commands", app.Commands)
		writeFlags(&b, "Flags of every command, before or after its name", app.Flags)
		b.WriteString(exitStatusHelp)
		return b.Bytes()
	}
	name := "brinemark " + strings.Join(path, " ")
	usage := commandUsage(command, name)
	writeProse(&b, name+": "+command.Usage)
	fmt.Fprintf(&b, "\n  %s\n", strings.ReplaceAll(usage, "\n", "\n  "))
	if command.Description != "" {
		b.WriteString("\n")
		writeProse(&b, command.Description)
	}
	writeCommands(&b, "Commands", command.Subcommands)
	writeFlags(&b, "Flags", command.Flags)
	var global []string
	for _, f := range app.Flags {
		global = append(global, "--"+f.Names()[0])
	}
	b.WriteString("\n")
	_ = reports.Paragraph(&b, reports.Style{}, "",
		"Flags of every command: "+strings.Join(global, ", ")+"; brinemark --help tells more.")
	return b.Bytes()
}

// commandUsage is how a command is typed, one line for each way.
func commandUsage(command *cli.Command, name string) string {
	usage := name
	switch {
	case command.UsageText != "":
		usage = command.UsageText
	case len(command.Subcommands) > 0:
		usage += " COMMAND [--flag value ...]"
	default:
		if len(command.Flags) > 0 {
			usage += " [--flag value ...]"
		}
		if command.ArgsUsage != "" {
			usage += " " + command.ArgsUsage
		}
	}
	return strings.TrimSpace(usage)
}

// flagHelp is a flag with its dashes, the placeholder of its value, which its
// usage holds in backquotes, and what it is for. ok is false for a hidden one.
func flagHelp(f cli.Flag) (label, placeholder, usage string, ok bool) {
	documented, ok := f.(cli.DocGenerationFlag)
	if visible, hides := f.(cli.VisibleFlag); !ok || hides && !visible.IsVisible() {
		return "", "", "", false
	}
	usage = documented.GetUsage()
	label = "--" + strings.Join(f.Names(), ", --")
	if documented.TakesValue() {
		placeholder = "VALUE"
		if before, rest, found := strings.Cut(usage, "`"); found {
			if word, after, closed := strings.Cut(rest, "`"); closed {
				placeholder, usage = word, before+word+after
			}
		}
		if text := documented.GetDefaultText(); text != "" {
			usage += " (default: " + strings.Trim(text, `"`) + ")"
		}
	}
	if repeats(f) && !strings.Contains(usage, "repeat") {
		usage += " (may be repeated)"
	}
	if required, ok := f.(cli.RequiredFlag); ok && required.IsRequired() {
		usage += " (required)"
	}
	return label, placeholder, usage, true
}

const exitStatusHelp = `
Exit status: 0 done; 1 could not be done; 2 bad usage or bad input; 3 with
--check, done but the verdict is not pass (or agree).
`

// writeProse wraps a description at the screen's width. Lines that are set in,
// the examples, stay as they are: a command is copied in one piece.
func writeProse(b *bytes.Buffer, text string) {
	var prose []string
	flush := func() {
		if len(prose) > 0 {
			_ = reports.Paragraph(b, reports.Style{}, "", strings.Join(prose, " "))
			prose = nil
		}
	}
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		if line != "" && !strings.HasPrefix(line, " ") {
			prose = append(prose, line)
			continue
		}
		flush()
		b.WriteString(line + "\n")
	}
	flush()
}

// writeCommands lists commands with what they are for. Writing to a buffer
// does not fail.
func writeCommands(b *bytes.Buffer, title string, commands []*cli.Command) {
	var list reports.Fields
	for _, c := range commands {
		if !c.Hidden {
			list.Add("  "+c.Name, c.Usage)
		}
	}
	if len(commands) > 0 {
		fmt.Fprintf(b, "\n%s\n", title)
		_ = list.Write(b, reports.Style{})
	}
}

// writeFlags lists flags.
func writeFlags(b *bytes.Buffer, title string, flags []cli.Flag) {
	var list reports.Fields
	for _, f := range flags {
		label, placeholder, usage, ok := flagHelp(f)
		if !ok {
			continue
		}
		if label = "  " + label; placeholder != "" {
			label += " " + placeholder
		}
		list.Add(label, usage)
	}
	if len(flags) > 0 {
		fmt.Fprintf(b, "\n%s\n", title)
		_ = list.Write(b, reports.Style{})
	}
}
