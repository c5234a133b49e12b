package main

import "runtime/debug"

// logGarbage is how much garbage, in percent of what is in use, may gather while
// a log is corrected: half of what Go allows, since nearly all memory is used
// again and again, and the little that a log takes should stay little.
const logGarbage = 25

// saveMemory has garbage collected earlier until the function it returns is
// called.
func saveMemory() func() {
	before := debug.SetGCPercent(logGarbage)
	return func() { debug.SetGCPercent(before) }
}
