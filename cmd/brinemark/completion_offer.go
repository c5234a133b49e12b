package main

import (
	"regexp"
	"strings"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/urfave/cli/v2"
)

// offer is what a shell can offer for a value of a flag, or for an argument.
type offer struct {
	kind    value
	words   []string
	endings []string // of files; none for any
	column  bool     // the value stands behind COLUMN=
}

// value is a kind of thing to offer, by the word it has in the scripts.
type value string

const (
	nothing value = ""
	files   value = "file"
	folders value = "folder"
	bottles value = "bottle" // their IDs on record
	meters  value = "meter"
)

// tables are the endings of files that tables of readings are read from, and logs
// those of logs: see correct.
var (
	tables = []string{".csv", ".CSV", ".tsv"}
	logs   = append([]string{".jsonl", ".ndjson", ".csv.gz", ".jsonl.gz", ".ndjson.gz"}, tables...)
)

// argumentsOf reads what a command's arguments are off its usage. IDs are those of
// what the command is about, but for one that puts a new one on record.
func argumentsOf(path, usage string) (list []offer, more bool) {
	what, _, _ := strings.Cut(usage, " | ")
	words := strings.Fields(what)
	for _, word := range words {
		switch {
		case word == "...":
			more = true
		case word == "BOTTLE", word == "ID" && strings.HasPrefix(path, "bottle ") && path != "bottle add":
			list = append(list, offer{kind: bottles})
		case word == "METER", word == "ID" && strings.HasPrefix(path, "meter ") && path != "meter add":
			list = append(list, offer{kind: meters})
		case word == "EVENT":
			list = append(list, offer{words: logbook.EventWords()})
		case word == "DIR":
			list = append(list, offer{kind: folders})
		case strings.HasPrefix(word, "LOG"):
			list = append(list, offer{kind: files, endings: logs})
		case strings.HasSuffix(word, ".csv"):
			list = append(list, offer{kind: files, endings: tables})
		case strings.HasPrefix(word, "FILE"):
			list = append(list, offer{kind: files})
		default:
			list = append(list, offer{})
		}
	}
	return list, more
}

// placeholder is what stands for a flag's value in its usage.
var placeholder = regexp.MustCompile("`([^`]*)`")

// offerOf is what can be offered for the value of a flag: the words it lists,
// files, and IDs of the record, by what stands for its value.
func offerOf(f cli.Flag, usage string) (o offer) {
	if generic, ok := f.(*cli.GenericFlag); ok {
		if v, ok := generic.Value.(interface{ Words() []string }); ok {
			o.words = v.Words()
		}
	}
	if len(o.words) == 1 && o.words[0] == anyFile {
		o = offer{kind: files}
	}
	if _, isPath := f.(*cli.PathFlag); isPath {
		o.kind = files
	}
	found := placeholder.FindStringSubmatch(usage)
	if found == nil {
		return o
	}
	what := found[1]
	if rest, ok := strings.CutPrefix(what, "COLUMN="); ok {
		what, o.column = rest, true
	}
	switch name := f.Names()[0]; {
	case strings.HasPrefix(what, "FILE."):
		o.kind, o.endings = files, []string{strings.TrimPrefix(what, "FILE")}
	case what == "ID" && (name == string(meters) || name == string(bottles)):
		o.kind = value(name)
	}
	if o.kind == nothing {
		o.column = false
	}
	return o
}

// assigned are the variables of an offer, as bash and zsh set them.
func (o offer) assigned() string {
	var out []string
	if len(o.words) > 0 {
		out = append(out, "values=("+quotedAll(o.words)+")")
	}
	if o.kind != nothing {
		out = append(out, "kind="+string(o.kind))
	}
	if len(o.endings) > 0 {
		out = append(out, "endings=("+quotedAll(o.endings)+")")
	}
	if o.column {
		out = append(out, "column=1")
	}
	if len(out) == 0 {
		return ":"
	}
	return strings.Join(out, " ")
}
