package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/urfave/cli/v2"
)

// progressAfter is how long a job may take before it shows how far it is.
const progressAfter = time.Second

// progressBar returns a function that shows on stderr how much of a job is
// done, and one that wipes it. Nothing is shown unless stderr is a terminal and
// the job has taken more than a second.
func progressBar(c *cli.Context, what string) (show func(done, most int), wipe func()) {
	if !isTerminal(c.App.ErrWriter) {
		return nil, func() {}
	}
	what = oneLine(what)
	started, shown := time.Now(), false
	show = func(done, most int) {
		if time.Since(started) < progressAfter || most <= 0 {
			return
		}
		shown = true
		const width = 30
		filled := min(width*done/most, width)
		fmt.Fprintf(c.App.ErrWriter, "\r%s [%s%s] %d of at most %d", what, strings.Repeat("#", filled), strings.Repeat(".", width-filled), done, most)
	}
	wipe = func() {
		if shown {
			fmt.Fprintf(c.App.ErrWriter, "\r%s\r", strings.Repeat(" ", 100))
		}
	}
	return show, wipe
}
