package reports

import (
	"bytes"
	"fmt"
	"html/template"
	"slices"
	"strings"
	"sync"

	"github.com/brinemark/brinemark/reports/page"
)

// demoStyle is what the page of the demonstration needs beside the common style:
// what a command printed keeps its lines, in a frame of its own that scrolls on
// a phone.
const demoStyle template.CSS = `pre { margin: 0.4em 0; padding: 0.5em 0.7em; overflow-x: auto; background: var(--shade); font: 0.8rem/1.35 ui-monospace, "Liberation Mono", Menlo, Consolas, monospace; overflow-wrap: normal; }
pre.command { white-space: pre-wrap; overflow-wrap: anywhere; font-weight: 600; }
pre:focus-visible, summary:focus-visible { outline: 3px solid var(--link); outline-offset: 2px; }
summary { cursor: pointer; color: var(--link); padding: 0.3em 0; }
.step { margin: 0.9em 0; break-inside: avoid; }
.step p { margin: 0.2em 0; }
.links { font-size: 0.9rem; color: var(--soft); }
@media print { .drawing svg { max-width: 125mm !important; } details, .step pre { break-inside: avoid; } details:not([open]) { display: none; } pre { font-size: 7.5pt; white-space: pre-wrap; } }
`

// demoTemplates are made when they are used, since no other command does.
var demoTemplates = sync.OnceValue(func() *template.Template { return template.Must(template.New("demo").Parse(demoHTML)) })

const demoHTML = `{{define "step"}}<div class="step">
<p>{{.Why}}</p>
<pre class="command">$ {{.Command}}</pre>
<details><summary>what it printed</summary>
<pre tabindex="0">{{.Printed}}</pre>
<p>As a file: <a href="{{.TextFile}}">{{.TextFile}}</a>{{if .JSONFile}}, with every digit: <a href="{{.JSONFile}}">{{.JSONFile}}</a>{{end}}</p>
</details>
</div>{{end -}}
{{define "fold"}}<details><summary>{{.Title}}</summary>
<ul>
{{range .Items}}<li>{{.}}</li>
{{end}}</ul>
</details>{{end -}}
{{define "links"}}<p class="links">Files: {{range $i, $f := .}}{{if $i}}, {{end}}<a href="{{$f}}">{{$f}}</a>{{end}}</p>{{end}}`

// folded is a list that opens when its title is touched.
func folded(title string, items []string) page.Block {
	var b bytes.Buffer
	if err := demoTemplates().ExecuteTemplate(&b, "fold", map[string]any{"Title": title, "Items": items}); err != nil {
		return page.List{Items: items}
	}
	return page.Raw{HTML: template.HTML(b.String()), Text: title + ": " + strings.Join(items, "; ")}
}

// filesOf links to what steps read, made and printed.
func (s *DemoStory) filesOf(steps ...string) page.Block {
	var list []string
	for _, chapter := range s.Demo.Chapters {
		for _, step := range chapter.Steps {
			if !slices.Contains(steps, step.Name) {
				continue
			}
			for _, name := range append(s.namedIn(step.Command), step.TextFile) {
				if !slices.Contains(list, name) {
					list = append(list, name)
				}
			}
		}
	}
	var b bytes.Buffer
	if err := demoTemplates().ExecuteTemplate(&b, "links", list); err != nil {
		return page.Text{Text: strings.Join(list, ", ")}
	}
	return page.Raw{HTML: template.HTML(b.String()), Text: "Files: " + strings.Join(list, ", ")}
}

// namedIn are the files of the folder that a command names, but for the record.
func (s *DemoStory) namedIn(command string) []string {
	var list []string
	words := strings.Fields(command)
	for _, f := range s.Demo.Files {
		if f.About != "" && slices.Contains(words, f.Name) && !strings.HasSuffix(f.Name, ".db") {
			list = append(list, f.Name)
		}
	}
	return list
}

// steps shows every command with what it printed.
func (s *DemoStory) steps() ([]page.Block, error) {
	blocks := []page.Block{section("Every step, as it was typed"),
		page.Text{Text: "All commands were run in this folder, in this order, by the clock of the story (typed today, \"on record\" bears today's day). --logbook logbook.db keeps the demonstration's record apart from yours; without it, the record is yours."}}
	for _, chapter := range s.Demo.Chapters {
		blocks = append(blocks, subsection(chapter.Title))
		for _, step := range chapter.Steps {
			var b bytes.Buffer
			if err := demoTemplates().ExecuteTemplate(&b, "step", step); err != nil {
				return nil, fmt.Errorf("step %s: %w", step.Name, err)
			}
			blocks = append(blocks, page.Raw{HTML: template.HTML(strings.TrimSpace(b.String())), Text: step.Why + ": " + step.Command})
		}
	}
	return blocks, nil
}

// pages are those beside this one.
func (s *DemoStory) pages() []page.Block {
	t := page.Table{Caption: "More pages of this folder", Columns: []page.Column{{Name: "page"}, {Name: "what it is"}}}
	for _, f := range s.Demo.Files {
		if strings.HasSuffix(f.Name, ".html") {
			t.Rows = append(t.Rows, []page.Cell{{Text: f.Name, Link: f.Name}, {Text: f.About}})
		}
	}
	return []page.Block{section("To read and to print"), t}
}

// files lists what lies in the folder.
func (s *DemoStory) files() []page.Block {
	t := page.Table{Caption: "The files of this folder", Columns: []page.Column{{Name: "file"}, {Name: "what it is"}}}
	for _, f := range s.Demo.Files {
		if f.About != "" {
			t.Rows = append(t.Rows, []page.Cell{{Text: f.Name, Link: f.Name}, {Text: f.About}})
		}
	}
	return []page.Block{section("The files"), t}
}
