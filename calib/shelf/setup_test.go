package shelf

import (
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
	"github.com/stretchr/testify/require"
)

var noon = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

func known(x float64) *float64 { return &x }

// saltBottle is a bottle of a stated strength with one source of its own.
func saltBottle(name, salt, unit string, strength, u float64) logbook.Bottle {
	v := uncert.Must(uncert.New(strength, u, uncert.Source{ID: "strength:" + name, Label: "strength"}))
	return logbook.Bottle{Head: logbook.Head{ID: name}, Name: name, Salt: salt, StrengthUnit: unit, Strength: logbook.Keep(v)}
}

// pen is a conductivity meter with the usual compensation.
func pen(unit string, factor *float64) logbook.Meter {
	return logbook.Meter{Name: "P1", Quantity: "ec", Unit: unit, PPMFactor: factor, Compensation: "linear", Alpha: known(0.02), RefTempC: known(25)}
}

// kitchen is a bench with food-grade salt and a pocket scale.
func kitchen(t testing.TB, run string) plan.Bench {
	t.Helper()
	jar, err := plan.NewJar(solutions.NaCl, plan.JarSpec{Grade: plan.GradeFood, Purity: known(0.995), UPurity: known(0.003)})
	require.NoError(t, err)
	scale, err := plan.NewScale(plan.ScaleSpec{StepG: known(0.01), UG: known(0.01), CapacityG: known(5000), ContainerG: known(0)})
	require.NoError(t, err)
	water, err := plan.NewWater(plan.WaterSpec{EC25: known(8), UEC25: known(1)})
	require.NoError(t, err)
	return plan.Bench{Jar: jar, Scale: scale, Water: water, Run: run}
}

// fromStock makes a bottle with that much of one stock.
func fromStock(t testing.TB, name string, stockG float64) plan.Made {
	t.Helper()
	m, err := plan.AsMade(plan.MadeRequest{
		Bench: kitchen(t, "2026-03-01/"), Name: "bottle " + name,
		Stocks: []plan.Weighed{{SaltG: []float64{5.02}, WaterG: []float64{145.1}}},
		Bottle: plan.Weighed{StockG: []float64{stockG}, WaterG: []float64{495}},
	})
	require.NoError(t, err)
	return m
}

// stored sends a bottle through its line on record and back.
func stored(t testing.TB, b logbook.Bottle) logbook.Bottle {
	t.Helper()
	book, err := logbook.Create(t.TempDir()+"/logbook.db", logbook.Options{Now: func() time.Time { return noon }})
	require.NoError(t, err)
	defer book.Close()
	require.NoError(t, book.Save(&b))
	got, err := book.Bottle(b.Name, time.Time{})
	require.NoError(t, err)
	return got
}
