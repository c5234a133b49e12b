package readings

import (
	"errors"
	"io"
	"math"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// spec is what a file of calibration readings may hold.
var spec = Spec{Columns: []Column{
	{Name: "ref", Type: Number, Required: true, Filled: true},
	{Name: "reading", Type: Number, Required: true, Filled: true},
	{Name: "u_ref", Type: Number, Bounds: NotNegative},
	{Name: "temp_C", Type: Number, Bounds: &Bounds{-5, 105}},
	{Name: "bottle", Type: Text},
	{Name: "state", Type: Text, Words: []string{"as-found", "as-left"}},
	{Name: "time", Type: Time},
}}

func read(t *testing.T, text string) *Table {
	t.Helper()
	table, err := Read(strings.NewReader(text), "pen.csv", spec)
	require.NoError(t, err, "%q", text)
	return table
}

// column reads a whole column, unknown cells as NaN.
func column(t *testing.T, table *Table, name string) []float64 {
	t.Helper()
	var list []float64
	for row := range table.Len() {
		v, ok, err := table.Float(row, name)
		require.NoError(t, err)
		if !ok {
			require.Zero(t, v)
			v = math.NaN()
		}
		list = append(list, v)
	}
	return list
}

// One table in every dialect that has a single meaning.
func TestDialects(t *testing.T) {
	for name, text := range map[string]string{
		"comma":               "ref,reading\n1413,1430.5\n2764,2810\n",
		"no final line feed":  "ref,reading\n1413,1430.5\n2764,2810",
		"CRLF":                "ref,reading\r\n1413,1430.5\r\n2764,2810\r\n",
		"byte-order mark":     "\ufeffref,reading\n1413,1430.5\n2764,2810\n",
		"mark and CRLF":       "\ufeffref;reading\r\n1413;1430.5\r\n2764;2810\r\n",
		"semicolon":           "ref;reading\n1413;1430.5\n2764;2810\n",
		"tab":                 "ref\treading\n1413\t1430.5\n2764\t2810\n",
		"decimal comma, ;":    "ref;reading\n1413;1430,5\n2764;2810\n",
		"decimal comma, tab":  "ref\treading\n1413\t1430,5\n2764\t2810\n",
		"quoted":              "\"ref\",\"reading\"\n\"1413\",\"1430.5\"\n\"2764\",2810\n",
		"quoted mark":         "\ufeff\"ref\";\"reading\"\n\"1413\";\"1430,5\"\n2764;2810\n",
		"columns turned":      "reading,ref\n1430.5,1413\n2810,2764\n",
		"space around":        " ref , reading \n 1413 , 1430.5\n2764,2810 \n",
		"letter case":         "Ref,READING\n1413,1430.5\n2764,2810\n",
		"blank lines":         "\n\nref,reading\n\n1413,1430.5\n\n\n2764,2810\n\n",
		"blank fields":        " \nref,reading\n,\n1413,1430.5\n , \n2764,2810\n,,,\n",
		"blank columns":       "ref,reading,,\n1413,1430.5,,\n2764,2810,, \n",
		"blank column first":  ",ref,reading\n,1413,1430.5\n,2764,2810\n",
		"exponents":           "ref,reading\n1.413e3,14305E-1\n+2764,2810.0\n",
		"other columns":       "note,ref,operator,reading\n\"a, b\",1413,me,1430.5\nc,2764,,2810\n",
		"commas in a note":    "ref;reading;note\n1413;1430.5;\"salt, water; and \"\"tea\"\"\"\n2764;2810;x\n",
		"semicolon in header": "ref,reading,\"a;b;c;d\"\n1413,1430.5,x\n2764,2810,y\n",
		"line feed in a note": "ref,reading,note\n1413,1430.5,\"two\nlines\"\n2764,2810,x\n",
	} {
		t.Run(name, func(t *testing.T) {
			table := read(t, text)
			assert.Equal(t, []float64{1413, 2764}, column(t, table, "ref"))
			assert.Equal(t, []float64{1430.5, 2810}, column(t, table, "reading"))
			assert.Equal(t, strings.Contains(text, "1430,5"), table.DecimalComma)
		})
	}
}

func TestUnknownIsNotZero(t *testing.T) {
	table := read(t, "ref,reading,u_ref\n1413,1430,0\n2764,2810,\n12880,13000,2.5\n")
	u := column(t, table, "u_ref")
	assert.Equal(t, 0.0, u[0], "0 is exact")
	assert.True(t, math.IsNaN(u[1]), "an empty cell is unknown")
	assert.Equal(t, 2.5, u[2])
	assert.True(t, math.IsNaN(column(t, table, "temp_C")[0]), "a column that is not there is unknown")
	assert.True(t, table.Has("u_ref"))
	assert.False(t, table.Has("temp_C"))
}

func TestTextAndWords(t *testing.T) {
	table := read(t, "ref,reading,bottle,state\n1,1, B7 ,As-Found\n2,2,,as-left\n3,3,\"a \"\"b\"\"\",\n")
	text, ok, err := table.Text(0, "bottle")
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, "B7", text)
	_, ok, err = table.Text(1, "bottle")
	require.NoError(t, err)
	assert.False(t, ok)
	text, _, _ = table.Text(2, "bottle")
	assert.Equal(t, `a "b"`, text)
	text, _, _ = table.Text(0, "state")
	assert.Equal(t, "as-found", text, "in the spelling of the Spec")
	_, ok, _ = table.Text(2, "state")
	assert.False(t, ok)
}

func TestNotes(t *testing.T) {
	assert.Empty(t, read(t, "ref,reading\n1,1\n").Notes)
	table := read(t, "ref;reading;shelf;uref;ref2\n1;1,5;;;\n")
	assert.Equal(t, []string{
		`pen.csv: the column "shelf" is ignored`,
		`pen.csv: the column "uref" is ignored; the nearest one in use is u_ref`,
		`pen.csv: the column "ref2" is ignored`, // ref is there, so it is no slip for ref
		`pen.csv: commas in numbers are decimal commas ("1,5" is 1.5)`,
	}, table.Notes)
	assert.Equal(t, ';', table.Separator)
}

// Rows are numbered as an editor numbers lines.
func TestRowNumbersAreLineNumbers(t *testing.T) {
	table := read(t, "\nref,reading,note\n\n1,1,\"two\nlines\"\n,,\n2,2,x\n")
	assert.Equal(t, 2, table.Len())
	assert.Equal(t, 4, table.Line(0), "a row of two lines begins on the first")
	assert.Equal(t, 7, table.Line(1))
}

func TestMisspeltProgramNamesAreErrors(t *testing.T) {
	table := read(t, "ref,reading\n1,1\n")
	_, _, err := table.Float(0, "u_reff")
	assert.ErrorIs(t, err, ErrUndeclared)
	_, _, err = table.Float(0, "bottle")
	assert.ErrorIs(t, err, ErrUndeclared)
	_, _, err = table.Text(0, "ref")
	assert.ErrorIs(t, err, ErrUndeclared)
	_, _, err = table.Time(0, "ref")
	assert.ErrorIs(t, err, ErrUndeclared)
}

func TestFaultPointsAtTheCell(t *testing.T) {
	table := read(t, "ref,reading,u_ref\n1,1,\n1,2,\n")
	cause := errors.New("identical references")
	err := table.Fault(1, "ref", "references that differ", cause)
	assert.EqualError(t, err, `pen.csv, row 3, column ref: found "1"; want references that differ`)
	assert.ErrorIs(t, err, cause)
	assert.EqualError(t, table.Fault(0, "u_ref", "a number", cause), "pen.csv, row 2, column u_ref: found nothing; want a number")
}

func TestReaderErrorsArePassedOn(t *testing.T) {
	broken := errors.New("disk on fire")
	_, err := Read(iotest.ErrReader(broken), "pen.csv", spec)
	require.ErrorIs(t, err, broken)
	var place *Error
	assert.False(t, errors.As(err, &place), "no place in the file is to blame")
	assert.ErrorContains(t, err, "pen.csv")
}

// endless is a file that never ends.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = '1'
	}
	return len(p), nil
}

func TestSizeIsLimited(t *testing.T) {
	_, err := Read(io.MultiReader(strings.NewReader("ref,reading\n"), endless{}), "pen.csv", spec)
	require.ErrorIs(t, err, ErrTooLarge)
	assert.ErrorContains(t, err, "64 MiB")
}

func TestBoundsText(t *testing.T) {
	assert.Equal(t, "of 0 or more", NotNegative.String())
	assert.Equal(t, "of 3 or less", Bounds{math.Inf(-1), 3}.String())
	assert.Equal(t, "from -5 to 105", Bounds{-5, 105}.String())
	assert.False(t, NotNegative.Contains(math.NaN()))
}
