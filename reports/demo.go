package reports

import (
	"fmt"
	"io"
	"strings"
)

// Demo is what the demonstration made.
type Demo struct {
	Dir      string     `json:"dir"`
	Files    []string   `json:"files"` // relative to Dir
	Steps    []DemoStep `json:"steps"`
	Warnings Warnings   `json:"warnings"`
}

// DemoStep is one command that the demonstration ran.
type DemoStep struct {
	Name     string `json:"name"`
	Why      string `json:"why"`
	Command  string `json:"command"` // as a person types it in the folder
	TextFile string `json:"text_file"`
	JSONFile string `json:"json_file"`
}

// Print shows a step as it happens: why, the command, and what it printed.
func (s DemoStep) Print(w io.Writer, style Style, printed string) error {
	if _, err := io.WriteString(w, "\n"); err != nil {
		return err
	}
	if err := Paragraph(w, style, "", s.Why); err != nil {
		return err
	}
	return writeTyped(w, style, s.Command, printed)
}

// Table says what lies where and what to type next.
func (d *Demo) Table(w io.Writer, style Style) error {
	if err := Heading(w, style, "What is in "+d.Dir+" now"); err != nil {
		return err
	}
	for _, f := range d.Files {
		if _, err := fmt.Fprintf(w, "  %s\n", f); err != nil {
			return err
		}
	}
	if err := Heading(w, style, "Type next"); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "    go install ./cmd/brinemark   (in the clone, once: it is on your path then)\n    cd %s\n", ShellWord(d.Dir))
	for _, s := range d.Steps {
		if err != nil {
			return err
		}
		_, err = io.WriteString(w, inShell(s.Command, style.width()))
	}
	return err
}

// WarningList is empty: what a step warns about stands with the step.
func (d *Demo) WarningList() []string { return d.Warnings }

// ShellWord writes a word as a shell reads it: in single quotes where it holds
// anything but letters, digits and a few harmless signs.
func ShellWord(word string) string {
	harmless := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./=+,:@%\\", r)
	}
	if word != "" && strings.IndexFunc(word, func(r rune) bool { return !harmless(r) }) < 0 {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

// ShellWords writes the words of a command as a shell reads them.
func ShellWords(words []string) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = ShellWord(w)
	}
	return strings.Join(out, " ")
}
