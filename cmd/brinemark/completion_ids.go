package main

import (
	"errors"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// idsWait is how long a shell waits for another process that holds the record.
const idsWait = 100 * time.Millisecond

// completionIDsCommand is what the scripts call while a word is being typed. Where
// there is no record, or one that cannot be read, it has nothing to say.
func completionIDsCommand() *cli.Command {
	return &cli.Command{
		Name:      "ids",
		Usage:     "print the IDs on record, one a line, for the completion of a shell",
		ArgsUsage: "bottle|meter",
		Hidden:    true,
		Action: func(c *cli.Context) error {
			args, err := arguments(c, "bottle|meter")
			if err != nil {
				return err
			}
			kind, err := oneOf(args[0], []string{string(bottles), string(meters)})
			if err != nil {
				return usageError("completion ids: %v", err)
			}
			var text strings.Builder
			for _, name := range recordedNames(c, logbook.Kind(kind)) {
				text.WriteString(name + "\n")
			}
			return render(c, &reports.Printed{Of: "IDs of each " + kind + " on record", Text: text.String()})
		},
	}
}

// recordedNames are the names on record that can be typed; none where the record
// cannot be read.
func recordedNames(c *cli.Context, kind logbook.Kind) (out []string) {
	path, err := recordPath(c)
	if err != nil {
		return nil
	}
	book, err := logbook.Open(path, logbook.Options{Now: now, Wait: idsWait, ReadOnly: true})
	if err != nil {
		return nil
	}
	names, err := book.Names(kind)
	if errors.Join(err, book.Close()) != nil {
		return nil
	}
	for _, name := range names {
		if logbook.CheckName(name) == nil { // what somebody else wrote into the file
			out = append(out, name)
		}
	}
	return out
}
