// Package blocks cuts a long text into stretches of whole rows.
//
// A log of years does not fit in memory, and its rows are of use only whole. A
// [Cutter] reads some of the text at a time, finds where the last whole row in
// it ends, hands out what is before, and keeps the rest for the next stretch.
// Where a row may end is for the form of the text to say: a line end that
// stands in quotes is no end of a row of CSV. The stretches, one after the
// other, are the text, byte for byte.
//
// The caller lends the memory. It grows to the longest stretch, and a row that
// does not end within the most that is allowed is an error, so that memory
// stays bounded whatever the text holds.
package blocks
