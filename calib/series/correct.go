package series

import (
	"bufio"
	"errors"
	"io"
	"strings"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/blocks"
	"github.com/brinemark/brinemark/calib/series/delimited"
	"github.com/brinemark/brinemark/calib/series/jsonlines"
)

// Correct reads a log from r and writes it to w, corrected as the plan says. The
// log is delimited text with a header, or JSON Lines where its name says so
// (.jsonl or .ndjson, also with .gz behind it) or its first byte is a brace. Rows
// keep their order, and every byte of them stays; what was found stands behind
// them, as three more columns or members for each probe.
//
// name is what errors call the log. An error is a *[readings.Error] where the
// log is to blame; rows above the faulty one are written before it is returned.
// Errors of r and w are passed on. The summary is of the rows that were read,
// and nil where none was.
func Correct(r io.Reader, w io.Writer, name string, plan Plan) (*Summary, error) {
	summary, err := correct(r, w, name, plan, usualSizes)
	return summary, inFile(err, name)
}

// sizes bound the memory that a log of any length takes.
type sizes struct {
	block  int // about how much of the log is read at a time
	blocks int // stretches on their way at most, 2 or more; half of them can be held for what later rows show
}

var usualSizes = sizes{block: 64 << 10, blocks: 8}

// mostRow is the longest row there may be.
const mostRow = 1 << 20

// inFile tells an error about a log the log's name.
func inFile(err error, name string) error {
	var place *readings.Error
	if errors.As(err, &place) {
		named := *place
		named.File = name
		return &named
	}
	return err
}

func correct(r io.Reader, w io.Writer, name string, plan Plan, sizes sizes) (*Summary, error) {
	if err := plan.check(); err != nil {
		return nil, err
	}
	lead := bufio.NewReaderSize(r, mostLead)
	lastEnd, inJSON := delimited.LastRowEnd, isJSON(name, lead)
	if inJSON {
		lastEnd = jsonlines.LastLineEnd
		sizes.block /= 2 // beside what reading an object leaves to be collected
	}
	p := newPipeline(blocks.NewCutter(lead, blocks.Limits{Size: sizes.block, Most: mostRow}, lastEnd), plan, sizes)
	first, err := p.first()
	if err != nil {
		return nil, err
	}
	if inJSON {
		if err := jsonHead(first.text, plan); err != nil {
			return nil, err
		}
		p.newWorker = func() (worker, error) { return newJSONWorker(plan) }
	} else {
		h, err := p.head(first)
		if err != nil {
			return nil, err
		}
		if _, err := w.Write(h.text); err != nil {
			return nil, err
		}
		first.text, first.line = first.text[h.size:], first.line+h.lines
		p.newWorker = func() (worker, error) { return newDelimitedWorker(plan, h) }
	}
	return p.run(first, w)
}

// mostLead is how far a log is looked into for its first byte.
const mostLead = 4 << 10

// isJSON tells whether a log is in JSON Lines, and not delimited.
func isJSON(name string, lead *bufio.Reader) bool {
	name = strings.TrimSuffix(strings.ToLower(name), ".gz")
	if strings.HasSuffix(name, ".jsonl") || strings.HasSuffix(name, ".ndjson") {
		return true
	}
	for n := 1; n <= mostLead; n++ {
		text, err := lead.Peek(n)
		if err != nil {
			return false
		}
		if c := text[n-1]; c != ' ' && c != '\t' && c != '\r' && c != '\n' {
			return c == '{'
		}
	}
	return false
}
