package solutions

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
)

// Point is one reference point: what a faultless probe would read in a liquid,
// an air space or a bath that can be made or found. The conductivity of salt
// solutions is not here, since it needs a strength too; see [SaltReference].
type Point struct {
	Quantity string       // "ph", "humidity", "temperature", "oxygen" or "co2"
	Name     string       // for people, such as "phthalate buffer"
	TempC    *float64     // temperature of the reference in C; nil where it does not matter
	Value    uncert.Value // in Unit, with its sources
	Unit     string       // "pH", "%RH", "C", "mg/L" or "ppm"
	Decimals int          // decimals that the published table supports; 0 leaves it to the uncertainty
	Source   string       // the publication, or "common practice, no source"
	Basis    string       // how this value comes from it, such as "interpolated"; empty where all do alike
	Ranges   []Range      // where it holds
	Notes    []string     // what the value means and what its uncertainty leaves out
	Making   Making       // how to make it at home
	Warnings []string     // what deserves attention in this result
}

// Making says how a reference is made at home, or why it should not be.
type Making struct {
	Steps     []string // in order; empty if NotAtHome says why
	Cautions  []string // to be read before the steps
	NotAtHome string   // the reason for having no steps; empty otherwise
}

// UnknownNameError reports a reference that does not exist under that name.
type UnknownNameError struct {
	Kind  string   // such as "buffer"
	Name  string   // what was asked for
	Known []string // the names that exist
	Hint  string   // what was probably meant, or why it is not there; empty otherwise
}

// Error gives the hint, or lists the names that exist.
func (e *UnknownNameError) Error() string {
	remedy := e.Hint
	if remedy == "" {
		remedy = "there are " + strings.Join(e.Known, ", ")
	}
	return fmt.Sprintf("no %s is called %s; %s", e.Kind, quantity.Quoted(e.Name), remedy)
}

// TemperatureID identifies the error of the thermometer in the liquid: the one
// source that a true value and a meter's compensation share.
const TemperatureID = "temperature"

// knot is a tabulated value between which linear interpolation is good enough,
// such as a standard uncertainty by temperature.
type knot struct{ x, y float64 }

// at interpolates linearly between ascending knots; one knot alone is a
// constant. x must lie inside them: the range has been checked before.
func at(knots []knot, x float64) float64 {
	if len(knots) == 1 {
		return knots[0].y
	}
	xs, ys := make([]float64, len(knots)), make([]float64, len(knots))
	for i, k := range knots {
		xs[i], ys[i] = k.x, k.y
	}
	return interpolate(xs, ys, x)
}

// polynomial evaluates c[0] + c[1] x + c[2] x² + …
func polynomial(c []float64, x float64) float64 {
	y := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		y = y*x + c[i]
	}
	return y
}

// along propagates a temperature (or another single argument) through f.
func along(f func(float64) (float64, error), x uncert.Value) (uncert.Value, error) {
	return uncert.Apply(func(x ...float64) (float64, error) { return f(x[0]) }, x)
}
