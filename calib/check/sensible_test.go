package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSensibleLooksAtEachFigureAlone(t *testing.T) {
	at := func(x float64) *float64 { return &x }
	for _, c := range []struct {
		kind       Kind
		reading    float64
		ref, tempC *float64
		want       string // column of the error; "" for none
	}{
		{EC, 1413, at(1.413), at(25), ""}, // another display is a finding
		{EC, -3, nil, nil, ""},
		{EC, 1413, at(-1), nil, "ref"},
		{EC, 1413, nil, at(68), "temp_C"},
		{EC, 1413, nil, at(-20), "temp_C"},
		{PH, 7.1, at(7), at(20), ""},
		{PH, -0.005, nil, nil, ""},
		{PH, 0.005, nil, nil, ""},
		{PH, 15, nil, nil, ""},
		{PH, 77, nil, nil, "reading"},
		{PH, -177, nil, nil, "reading"},
		{PH, 7, at(77), nil, "ref"},
		{Humidity, 103, at(100), nil, ""},
		{Humidity, 120, nil, nil, "reading"},
		{Humidity, 75, at(101), nil, "ref"},
		{Temperature, 68, nil, nil, ""},
		{Other, -5000, at(1e9), nil, ""},
	} {
		err := Sensible(c.kind, c.reading, c.ref, c.tempC)
		if c.want == "" {
			assert.NoError(t, err, "%+v", c)
			continue
		}
		var at *RowError
		if assert.ErrorAs(t, err, &at, "%+v", c) {
			assert.Equal(t, Column(c.want), at.Column, "%+v", c)
		}
	}
	assert.True(t, Fahrenheit([]float64{20, 25}, []float64{68, 77}))
	assert.False(t, Fahrenheit([]float64{20, 25}, []float64{21, 26}))
	assert.False(t, Fahrenheit(nil, nil))
}
