// Package typeset says how texts look where they are shown, in one place for
// charts, pages, labels and terminals.
//
// What a program reads or a terminal shows has units in ASCII: uS/cm and C. What
// is drawn or printed for people, on paper or in a page, has them as people write
// them: µS/cm and °C. [Unit] sets a unit alone, [Text] those within a sentence of
// ours; what a person named is marked (by the isolates of Unicode, UAX #9, 2.5)
// and stays as it is.
//
// What a person named may hold anything. [Commands] tells the characters that
// command a screen or turn the direction of what follows, and [Line] makes of any
// text one line without them.
package typeset
