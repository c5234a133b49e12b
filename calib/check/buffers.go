package check

import (
	"errors"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// SetBuffer makes the named pH buffer the reference of the row: its pH at the row's temperature,
// and its published uncertainty where the row states none. A name that does not exist, and a row
// without a temperature, are a [*RowError]; the first lists the buffers there are.
func (r *Row) SetBuffer(name string) error {
	b, err := solutions.BufferByName(name)
	if err != nil {
		want := "the name of a buffer"
		var unknown *solutions.UnknownNameError
		if errors.As(err, &unknown) {
			want = "one of " + strings.Join(unknown.Known, ", ")
		}
		return &RowError{Column: ColumnBuffer, Found: strconv.Quote(name), Want: want, Cause: ErrBuffer, Name: r.Name}
	}
	if r.TempC == nil {
		return &RowError{Column: ColumnTempC, Found: "nothing", Want: "the temperature of the buffer " + b.Name + ": its pH depends on it",
			Cause: ErrOutOfRange, Name: r.Name}
	}
	p, err := b.At(uncert.Unstated(*r.TempC, uncert.Source{ID: "thermometer", Label: "thermometer"}))
	if err != nil {
		return &RowError{Column: ColumnTempC, Found: number(*r.TempC), Want: "a temperature within the buffer's table: " + err.Error(), Cause: ErrOutOfRange, Name: r.Name}
	}
	r.Ref = p.Value.Nominal()
	r.RefText = strconv.FormatFloat(r.Ref, 'f', b.Decimals, 64)
	if r.URef == nil {
		r.URef, r.URefFound = pointer(p.Value.U()), true
	}
	if r.Bottle == "" {
		r.Bottle = b.Name
	}
	return nil
}
