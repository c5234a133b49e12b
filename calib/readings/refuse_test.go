package readings

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Everything that is refused, with the whole message: where, what was found,
// what would be right.
func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		name, text string
		cause      error
		row        int
		column     string
		message    string
	}{
		{"empty file", "", ErrEmpty, 0, "", "found an empty file; want a header row and rows of readings"},
		{"only blank lines", "\n \n\r\n", ErrEmpty, 0, "", "found an empty file"},
		{"only a mark", "\ufeff", ErrEmpty, 0, "", "found an empty file"},
		{"no rows", "ref,reading\n\n", ErrEmpty, 1, "", "found a header and no rows below it; want at least one row"},
		{"missing column", "ref,Readings\n1,1\n", ErrMissingColumn, 1, "reading",
			`found no such column among "ref, Readings"; want a header with a column reading`},
		{"no header", "1413,1430\n2764,2810\n", ErrMissingColumn, 1, "ref", `among "1413, 1430"`},
		{"strange separator", "ref|reading\n1|1\n", ErrMissingColumn, 1, "ref", "and a comma, a semicolon or a tab between columns"},
		{"column twice", "ref,reading,ref\n1,1,2\n", ErrDuplicateColumn, 1, "ref", `found it twice in the header, as "ref" and "ref"; want each column once`},
		{"column twice, other case", "ref,reading,REF\n1,1,2\n", ErrDuplicateColumn, 1, "ref", `"ref" and "REF"`},
		{"ignored column twice", "note,ref,note,reading\n,1,,1\n", ErrDuplicateColumn, 1, "note", `"note" and "note"`},
		{"column twice after blanks", "\n\nref,reading,ref\n1,1,2\n", ErrDuplicateColumn, 3, "ref", "twice"},
		{"nameless column", "ref,reading,\n1,1,\n2,2,7\n", ErrMissingColumn, 3, "", `found "7" in field 3, whose column has no name`},
		{"short row", "ref,reading\n1,1\n2\n", ErrRagged, 3, "", "found 1 field; want 2, as in the header"},
		{"long row", "ref,reading\n\n1,1\n2,2,3\n", ErrRagged, 4, "", "found 3 fields; want 2, as in the header (numbers with a decimal comma need"},
		{"long row, semicolon", "ref;reading\n2;2;3\n", ErrRagged, 2, "", "found 3 fields; want 2, as in the header"},
		{"word for a number", "ref,reading\n1,1\n2,abc\n", ErrNotANumber, 3, "reading", `found "abc"; want a number`},
		{"word for an optional number", "ref,reading,u_ref\n1,1,n/a\n", ErrNotANumber, 2, "u_ref",
			`found "n/a"; want a number, or an empty cell where it is not known`},
		{"NaN", "ref,reading\n1,NaN\n", ErrNotANumber, 2, "reading", `found "NaN"; want a number`},
		{"Inf", "ref,reading\n-Inf,1\n", ErrNotANumber, 2, "ref", `found "-Inf"; want a number`},
		{"hexadecimal", "ref,reading\n0x10,1\n", ErrNotANumber, 2, "ref", `"0x10"`},
		{"too large", "ref,reading\n1e999,1\n", ErrNotANumber, 2, "ref", `"1e999"`},
		{"number with unit", "ref,reading\n1413 uS/cm,1\n", ErrNotANumber, 2, "ref", "want the number alone, without its unit uS/cm"},
		{"number with unit and comma", "ref;reading\n1413;1,5mS/cm\n1;1,5\n", ErrNotANumber, 2, "reading", "want the number alone, without its unit mS/cm"},
		{"bare ppm", "ref,reading\n600ppm,1\n", ErrNotANumber, 2, "ref", `found "600ppm"; want a number`},
		{"quoted decimal comma", "ref,reading\n1,\"1,5\"\n", ErrNotANumber, 2, "reading", "a decimal comma needs a semicolon or a tab"},
		{"comma and point mixed", "ref;reading\n1.5;1\n2;2,5\n", ErrNotANumber, 3, "reading",
			`found "2,5" with a comma, and "1.5" with a point in row 2, column ref; want one decimal mark in the whole file`},
		{"thousands and point", "ref;reading\n1,413.5;1\n", ErrNotANumber, 2, "ref", `"1,413.5"`},
		{"two commas", "ref;reading\n1,413,5;1\n1,5;1\n", ErrNotANumber, 2, "ref", `"1,413,5"`},
		{"empty cell", "ref,reading\n1,1\n,2\n", ErrBlank, 3, "ref", "found nothing; want a value in every row"},
		{"negative uncertainty", "ref,reading,u_ref\n1,1,-0.1\n", ErrOutOfRange, 2, "u_ref", `found "-0.1"; want a number of 0 or more`},
		{"out of range", "ref,reading,temp_C\n1,1,106\n", ErrOutOfRange, 2, "temp_C", `found "106"; want a number from -5 to 105`},
		{"unknown word", "ref,reading,state\n1,1,asfound\n", ErrUnknownWord, 2, "state", `found "asfound"; want as-found`},
		{"strange word", "ref,reading,state\n1,1,?\n", ErrUnknownWord, 2, "state", `found "?"; want as-found, as-left`},
		{"not a time", "ref,reading,time\n1,1,yesterday\n", ErrNotATime, 2, "time", `found "yesterday"; want a time such as 2026-03-01T08:30:00Z`},
		{"quote inside a field", "ref,reading,bottle\n1,1,a\"b\n", ErrQuoting, 2, "", `found a " inside a field`},
		{"quote never closed", "ref,reading,bottle\n1,1,x\n2,2,\"ab\n3,3,x\n", ErrQuoting, 3, "", "found a quoted field that does not end where it should"},
		{"quote in the header", "ref,\"reading\n1,1\n", ErrQuoting, 1, "", "quoted field"},
		{"text after a quote", "ref,reading,bottle\n1,1,\"a\"b\n", ErrQuoting, 2, "", "quoted field"},
		{"Latin-1", "ref,reading,bottle\n1,1,gr\xfcn\n", ErrEncoding, 2, "", "found the byte 0xFC, which is not UTF-8; want UTF-8: save the file as CSV UTF-8"},
		{"UTF-16", "\xff\xfer\x00e\x00", ErrEncoding, 0, "", "found UTF-16 text"},
		{"UTF-16, other end", "\xfe\xff\x00r\x00e", ErrEncoding, 0, "", "found UTF-16 text"},
		{"NUL", "ref,reading\n1,1\n2,\x00\n", ErrEncoding, 3, "", "found a NUL byte"},
		{"CR alone", "ref,reading\r1,1\r", ErrEncoding, 0, "", "found rows ended by a carriage return alone"},
	} {
		t.Run(c.name, func(t *testing.T) {
			table, err := Read(strings.NewReader(c.text), "pen.csv", spec)
			require.Error(t, err)
			assert.Nil(t, table)
			var place *Error
			require.ErrorAs(t, err, &place)
			assert.ErrorIs(t, err, c.cause)
			assert.Equal(t, "pen.csv", place.File)
			assert.Equal(t, c.row, place.Row, err.Error())
			assert.Equal(t, c.column, place.Column)
			assert.Contains(t, err.Error(), c.message)
			assert.True(t, strings.HasPrefix(err.Error(), "pen.csv"), err.Error())
			assert.NotContains(t, err.Error(), "\n")
			assert.NotEmpty(t, place.Want)
		})
	}
}

// The first fault from the top is the one a person meets.
func TestTheFirstFaultIsReported(t *testing.T) {
	_, err := Read(strings.NewReader("reading,u_ref,ref\n1,x,1\ny,1,1\n"), "pen.csv", spec)
	assert.ErrorContains(t, err, "row 2, column u_ref")
}

func TestLongCellsAreCutInMessages(t *testing.T) {
	_, err := Read(strings.NewReader("ref,reading\n1,"+strings.Repeat("x", 5000)+"\n"), "pen.csv", spec)
	require.ErrorIs(t, err, ErrNotANumber)
	assert.Less(t, len(err.Error()), 200)
}
