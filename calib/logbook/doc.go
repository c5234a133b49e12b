// Package logbook keeps the record: meters, bottles, calibrations with every
// reading, comparisons and events, in one file that outlives the phone they
// were typed on.
//
// # The model
//
// A record is a list of rows, and rows are only ever added. A correction, a
// retirement or a new weighing of a bottle is a new row that supersedes the
// old one ([Head.Supersedes]); the old one stays and can be seen. Every row has
// an identity of its own ([Head.ID]) that is the same in every copy, so that
// the records of two phones can be merged. Meters and bottles carry the name a
// person gave them; their later versions are "P1/2", "P1/3". The other rows get
// an identity from the day and chance.
//
// The identity of a row and the SHA-256 of its line of export decide what an
// import does with it: the same row again changes nothing, another row under
// the same identity is a conflict. The same hash lets [Book.Check] see a byte
// that changed on the disk.
//
// # What is kept
//
// Numbers are kept as they were given, and unknown is not zero: a pointer that
// is nil is a number nobody knows. A reference's value is kept with the named
// sources of its uncertainty ([Amount]), so that two bottles made from one jar
// are still related when both are read back, years later. Nothing is computed
// here: what a bottle shows on a meter's display is the business of package
// shelf.
//
// # The file
//
// It is an SQLite database: STRICT tables, foreign keys, write-ahead log, full
// synchronisation. A save is one transaction, and when [Book.Save] returns nil
// it is on the disk. Several processes may have the record open; one that has
// to wait longer than [Options.Wait] gets a [*BusyError] that says who holds
// it. The file is created readable by its owner alone.
//
// # What it leaves out
//
// There is no encryption and no access control beyond the file's, and an import
// does not resolve conflicts: it refuses them and says where they are.
package logbook
