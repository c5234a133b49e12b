// Package delimited finds the rows and fields of a long CSV text in place.
//
// A log of years does not fit in memory, and whoever puts it right must hand
// every byte back. So nothing is copied and nothing is unquoted here:
// [LastRowEnd] lets package blocks cut the text into stretches of whole rows,
// [Detect] finds the separator, and [Form.Row] says where in a stretch each
// field of a row begins and ends. What is between the fields can be written
// out again as it was.
//
// The quoting is that of RFC 4180, read as encoding/csv reads it: a field that
// begins with a quote runs to the closing one, a doubled quote inside stands
// for one, line ends inside belong to the field, and a quote within a field
// that does not begin with one is an error. Rows end with LF or CRLF; empty
// lines are no rows. Separators are single bytes: a comma, a semicolon or a
// tab.
package delimited
