// Brinemark makes references of known uncertainty from salt, a scale and water,
// and judges meters against them.
//
// This package only parses, calls and renders: one file per command, no
// arithmetic. What all commands share stands in
//
//	run.go        streams in, exit status out
//	arguments.go  the order of arguments, unknown words, missing values
//	commands.go   the list of commands and the flags of all of them
//	flags.go      flags that hold quantities, numbers, tolerances, words
//	input.go      files and standard input
//	output.go     tables, JSON, colour
//	status.go     which error gives which exit status
package main

import (
	"os"
	"os/signal"
	"syscall"

	_ "time/tzdata" // zone names work where the system has no zone files
)

func main() {
	// A closed pipe then is a write error like any other, and the exit status
	// is one of the documented ones.
	signal.Ignore(syscall.SIGPIPE)
	os.Exit(run(os.Args, os.Stdin, os.Stdout, os.Stderr))
}
