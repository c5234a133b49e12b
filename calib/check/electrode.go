package check

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/uncert"
)

// judgeElectrode adds the figures of a pH electrode: by potential where every row has one, else by
// the display. What stops it by potential is an error; by display a warning, since the line and the
// verdict stand without it.
func (r *Result) judgeElectrode(o Options) error {
	byMV, err := hasPotentials(r.Rows)
	if err != nil {
		return err
	}
	if r.Kind != PH {
		if byMV {
			r.warn("the column mv is about pH electrodes and was not used; for one, give --quantity ph")
		}
		return nil
	}
	var e electrode.Result
	if byMV {
		var points []electrode.Point
		for i, row := range r.Rows {
			points = append(points, electrode.Point{PH: r.buffer(i), MV: r.potential(i, o), TempC: temperature(row)})
		}
		if e, err = electrode.FromMV(points); err != nil {
			return fmt.Errorf("electrode: %w", err)
		}
	} else {
		var points []electrode.DisplayPoint
		for i, row := range r.Rows {
			points = append(points, electrode.DisplayPoint{PH: r.buffer(i), Reading: r.shown(i), TempC: temperature(row)})
		}
		if e, err = electrode.FromDisplay(points); err != nil {
			r.warn(fmt.Sprintf("electrode: %v", err))
			return nil
		}
	}
	for _, w := range e.Warnings {
		r.warn("electrode: " + w)
	}
	r.Electrode = &e
	return nil
}

// hasPotentials tells whether the rows carry potentials; half a column is an error.
func hasPotentials(rows []Row) (bool, error) {
	with, without := 0, -1
	for i, row := range rows {
		if row.MV != nil {
			with++
		} else if without < 0 {
			without = i
		}
	}
	if with > 0 && without >= 0 {
		return false, &RowError{Row: without, Column: ColumnMV, Found: "nothing, though other rows have a potential",
			Want: "a potential in mV in every row or in none", Cause: ErrMixed}
	}
	return with > 0, nil
}

// buffer is the reference of row i with its sources: those it names, or one for the bottle and one
// for what it shares.
func (r *Result) buffer(i int) uncert.Value {
	row := r.Rows[i]
	if v, err := uncert.FromParts(row.Ref, row.RefParts); err == nil && len(row.RefParts) > 0 {
		return v
	}
	id := fmt.Sprintf("buffer:%d", i)
	if row.Bottle != "" {
		id = "bottle:" + row.Bottle
	}
	v := known(row.Ref, row.URef, uncert.Source{ID: id, Label: "buffer"})
	if row.URefShared != nil && *row.URefShared > 0 {
		shared := known(0, row.URefShared, uncert.Source{ID: "source:" + row.RefSource, Label: row.RefSource})
		v = v.Add(shared)
	}
	return v
}

// shown is the display of row i; what is known of it is what the fit used.
func (r *Result) shown(i int) uncert.Value {
	s := uncert.Source{ID: fmt.Sprintf("reading:%d", i), Label: "reading"}
	v := known(r.Rows[i].Reading, nil, s)
	if r.model.readOwn != nil {
		v = known(r.Rows[i].Reading, &r.model.readOwn[i], s)
		for k, shared := range r.model.readShared {
			v = v.Add(known(0, &shared[i], uncert.Source{ID: fmt.Sprintf("rounding:%d", k), Label: "display"}))
		}
	}
	return v
}

func (r *Result) potential(i int, o Options) uncert.Value {
	return known(*r.Rows[i].MV, o.UMV, uncert.Source{ID: fmt.Sprintf("potential:%d", i), Label: "potential"})
}

// temperature is that of a row, whose own doubt nobody stated.
func temperature(row Row) *uncert.Value {
	if row.TempC == nil {
		return nil
	}
	v := uncert.Unstated(*row.TempC, uncert.Source{ID: "thermometer", Label: "thermometer"})
	return &v
}

// known makes a value of x: unstated without u, else with it. The rows were checked, so u is fit.
func known(x float64, u *float64, s uncert.Source) uncert.Value {
	if u == nil {
		return uncert.Unstated(x, s)
	}
	v, err := uncert.New(x, *u, s)
	if err != nil {
		return uncert.Unstated(x, s)
	}
	return v
}
