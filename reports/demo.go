package reports

import (
	"fmt"
	"io"
	"strings"
)

// Demo is what the demonstration made.
type Demo struct {
	Dir      string        `json:"dir"`
	Page     string        `json:"page"`  // tells the story; relative to Dir
	Files    []DemoFile    `json:"files"` // relative to Dir
	Chapters []DemoChapter `json:"chapters"`
	Warnings Warnings      `json:"warnings"`
}

// DemoFile is a file that lies in the demonstration's folder.
type DemoFile struct {
	Name  string `json:"name"`  // with slashes
	About string `json:"about"` // "" for the output of a step
}

// DemoChapter is a part of the demonstration's story.
type DemoChapter struct {
	Title string     `json:"title"`
	Steps []DemoStep `json:"steps"`
}

// DemoStep is one command that the demonstration ran.
type DemoStep struct {
	Name     string `json:"name"`
	Why      string `json:"why"`
	Command  string `json:"command"` // as a person types it in the folder
	TextFile string `json:"text_file"`
	JSONFile string `json:"json_file"` // "" where the command wrote a file alone
	Printed  string `json:"-"`
}

// Print shows a step as it happens: why, the command, and what it printed.
func (s DemoStep) Print(w io.Writer, style Style) error {
	if _, err := io.WriteString(w, "\n"); err != nil {
		return err
	}
	if err := Paragraph(w, style, "", s.Why); err != nil {
		return err
	}
	return writeTyped(w, style, s.Command, s.Printed)
}

// Table says what lies where and what to do next.
func (d *Demo) Table(w io.Writer, style Style) error {
	if err := Heading(w, style, "What is in "+d.Dir+" now"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "file", Text: true}, Column{Name: "what it is", Text: true})
	for _, f := range d.Files {
		if f.About != "" {
			t.Row(f.Name, f.About)
		}
	}
	t.Row("results/", "what each command printed, as text and as JSON")
	if err := t.Write(w, style); err != nil {
		return err
	}
	if err := Heading(w, style, "Next"); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, `  Open %s/%s in a browser: it tells the whole story.
  To type commands yourself:
    go install ./cmd/brinemark     (once, in the clone: it puts it on your path)
    cd %s
    brinemark drift --all --logbook logbook.db
`, d.Dir, d.Page, ShellWord(d.Dir))
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
