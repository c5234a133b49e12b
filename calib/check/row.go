package check

import (
	"errors"
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Row is one reading of one reference. Ref and Reading are in one unit; uncertainties are standard
// (k = 1) in that unit, nil where nobody stated them, 0 for exact.
type Row struct {
	// Name is what messages call the row, such as "row 4" of a file; "" is "point 1" and so on.
	Name string

	Ref, Reading float64
	// RefText and ReadingText are what was typed for them, so that advice names them with the digits a
	// person sees; "" where nobody typed any.
	RefText, ReadingText string

	URef       *float64 // the reference's own part
	URefFound  bool     // URef was looked up with the reference, not stated by anybody
	RefSource  string   // what the reference was made from; "" for nothing shared
	URefShared *float64 // the part shared by all rows of RefSource
	UReading   *float64
	// RefParts are the named sources of Ref's uncertainty, where they are known: rows that name one
	// source share it, with its sign, whatever bottle they are of. The line then is fitted with them;
	// URef and URefShared only sum them up, in squares, and must be there.
	RefParts []uncert.Contribution

	Bottle string   // "" where not named
	TempC  *float64 // C, beside the reading; explains, converts nothing
	MV     *float64 // potential of a pH electrode, mV
}

// name is what messages call row i.
func name(rows []Row, i int) string {
	if rows[i].Name != "" {
		return rows[i].Name
	}
	return fmt.Sprintf("point %d", i+1)
}

// Column names a field of a row as the table has it, so that an error can point at a cell.
type Column string

// The columns errors point at.
const (
	ColumnRef        Column = "ref"
	ColumnReading    Column = "reading"
	ColumnURef       Column = "u_ref"
	ColumnUReading   Column = "u_reading"
	ColumnRefSource  Column = "ref_source"
	ColumnURefShared Column = "u_ref_shared"
	ColumnBottle     Column = "bottle"
	ColumnTempC      Column = "temp_C"
	ColumnMV         Column = "mv"
	ColumnBuffer     Column = "buffer"
	ColumnUZero      Column = "u_zero" // of the zero point, which no table has
)

// Causes of errors of this package.
var (
	ErrMixed      = errors.New("stated in some rows only")
	ErrOutOfRange = errors.New("outside its range")
	ErrWrongUnit  = errors.New("another unit")
	ErrNoSource   = errors.New("no source named")
	ErrBuffer     = errors.New("no such buffer")
	ErrOptions    = errors.New("options that do not go together")
)

// RowError is a fault in one row. Row counts from 0; Name is what messages call it.
type RowError struct {
	Row    int
	Name   string
	Column Column
	Found  string
	Want   string
	Cause  error
}

func (e *RowError) Error() string {
	where := e.Name
	if where == "" {
		where = fmt.Sprintf("point %d", e.Row+1)
	}
	return fmt.Sprintf("%s, column %s: found %s; want %s", where, e.Column, e.Found, e.Want)
}

// Unwrap returns the cause.
func (e *RowError) Unwrap() error { return e.Cause }

// optional is a column of figures that rows may leave unknown.
type optional struct {
	column Column
	of     func(*Row) *float64
}

var uncertainties = []optional{
	{ColumnURef, func(r *Row) *float64 { return r.URef }},
	{ColumnUReading, func(r *Row) *float64 { return r.UReading }},
	{ColumnURefShared, func(r *Row) *float64 { return r.URefShared }},
}

// checkRows refuses rows no fit can use.
func checkRows(rows []Row) error {
	for i := range rows {
		r := &rows[i]
		for _, c := range []struct {
			column Column
			v      float64
		}{{ColumnRef, r.Ref}, {ColumnReading, r.Reading}} {
			if math.IsNaN(c.v) || math.IsInf(c.v, 0) {
				return &RowError{Row: i, Column: c.column, Found: fmt.Sprint(c.v), Want: "a finite number", Cause: ErrOutOfRange}
			}
		}
		for _, o := range uncertainties {
			if v := o.of(r); v != nil && !(*v >= 0 && !math.IsInf(*v, 0)) {
				return &RowError{Row: i, Column: o.column, Found: fmt.Sprint(*v),
					Want: "a standard uncertainty of 0 (exact) or more, or nothing where it is not known", Cause: ErrOutOfRange}
			}
		}
		if _, err := uncert.FromParts(r.Ref, r.RefParts); err != nil {
			return &RowError{Row: i, Column: ColumnRef, Found: err.Error(), Want: "named sources of uncertainty", Cause: ErrOutOfRange}
		}
		if len(r.RefParts) > 0 && r.URef == nil {
			return &RowError{Row: i, Column: ColumnURef, Found: "nothing beside the sources of the uncertainty",
				Want: "their size", Cause: ErrMixed}
		}
		if r.URefShared != nil && *r.URefShared > 0 && r.RefSource == "" {
			return &RowError{Row: i, Column: ColumnRefSource, Found: "nothing beside u_ref_shared " + number(*r.URefShared),
				Want: "the name of what the reference was made from", Cause: ErrNoSource}
		}
	}
	if err := checkWhole(rows, uncertainties[0]); err != nil {
		return err
	}
	if err := checkWhole(rows, uncertainties[1]); err != nil {
		return err
	}
	return checkSources(rows)
}

// checkWhole wants a figure in every row or in none: half a column has no meaning.
func checkWhole(rows []Row, o optional) error {
	missing, given := -1, -1
	for i := range rows {
		switch {
		case o.of(&rows[i]) == nil && missing < 0:
			missing = i
		case o.of(&rows[i]) != nil && given < 0:
			given = i
		}
	}
	if missing >= 0 && given >= 0 {
		return &RowError{Row: missing, Column: o.column, Found: "nothing, though other rows have a figure",
			Want: "a figure in every row or in none (0 says that it is exact, not that it is unknown)", Cause: ErrMixed}
	}
	return nil
}

// checkSources wants a shared part in every row of a source or in none of them.
func checkSources(rows []Row) error {
	given, missing := map[string]bool{}, map[string]int{}
	for i := range rows {
		s := rows[i].RefSource
		if s == "" {
			continue
		}
		if rows[i].URefShared != nil {
			given[s] = true
		} else if _, ok := missing[s]; !ok {
			missing[s] = i
		}
	}
	for i := range rows {
		s := rows[i].RefSource
		if at, ok := missing[s]; ok && at == i && given[s] {
			return &RowError{Row: i, Column: ColumnURefShared, Found: "nothing, though other rows of " + s + " have a figure",
				Want: "a figure in every row of that source or in none (0 says that it is exact, not that it is unknown)", Cause: ErrMixed}
		}
	}
	return nil
}
