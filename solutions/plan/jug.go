package plan

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Ranges of what may be said of a jug.
var (
	JugRange = solutions.Range{Quantity: "size of the jug", Unit: "mL", Low: 1, High: 1e6}
	// UFillingRange limits one reading; it must be below the jug's size too.
	UFillingRange = solutions.Range{Quantity: "standard uncertainty of one filling", Unit: "mL", Low: 0, High: 1e6}
	UMarksRange   = solutions.Range{Quantity: "standard uncertainty of the jug's marks", Unit: "%", Low: 0, High: 20}
)

// What is taken of a jug where a person says nothing: one reading of a kitchen
// jug at eye level, and its marks. Common practice, no source.
const (
	defaultFillingU = 0.01 // of the jug's size
	defaultMarksU   = 0.01
)

// JugSpec is what a person says of a jug that measures the bottles' water in
// place of the scale. nil means that nothing was said, 0 is a stated zero.
type JugSpec struct {
	// ID is the identity of the jug. Empty stands for "jug".
	ID string
	// SizeML is the volume of one filling up to the highest mark, in mL.
	SizeML float64
	// UML is the standard uncertainty of one reading in mL, whether the jug is
	// filled to the top or in part; each filling has an error of its own.
	// Default: 1 % of the size.
	UML *float64
	// UMarks is the relative standard uncertainty of the marks: the error that
	// all fillings of one jug share. Default: 1 %, or, where UML is given,
	// contained in that.
	UMarks *float64
}

// Jug measures water by volume.
type Jug struct {
	ID     string
	SizeML float64
	UML    float64 // of one filling; independent from filling to filling
	// Marks is the true volume over the volume read, near 1; shared by all
	// that one jug measures.
	Marks       uncert.Value
	Assumptions []string
}

// NewJug checks a jug. Errors: figures outside their ranges.
func NewJug(spec JugSpec) (Jug, error) {
	if err := JugRange.Check("jug", spec.SizeML); err != nil {
		return Jug{}, err
	}
	j := Jug{ID: spec.ID, SizeML: spec.SizeML, UML: defaultFillingU * spec.SizeML}
	if j.ID == "" {
		j.ID = "jug"
	}
	marks := defaultMarksU
	switch {
	case spec.UML == nil:
		j.Assumptions = append(j.Assumptions, fmt.Sprintf("one filling of the jug: u %s mL, 1 %% of its size (not given; common practice, no source)", figure(j.UML)))
	default:
		if err := UFillingRange.Check("jug", *spec.UML); err != nil {
			return Jug{}, err
		}
		j.UML, marks = *spec.UML, 0
	}
	switch {
	case spec.UMarks != nil:
		if err := UMarksRange.Check("jug", 100**spec.UMarks); err != nil {
			return Jug{}, err
		}
		marks = *spec.UMarks
	case spec.UML == nil:
		j.Assumptions = append(j.Assumptions, "marks of the jug: u 1 %, shared by all fillings (not given; common practice, no source)")
	default:
		j.Assumptions = append(j.Assumptions, "marks of the jug: right, but for the uncertainty given for one filling, which is taken as independent from filling to filling")
	}
	if !(j.UML < spec.SizeML) {
		return Jug{}, fmt.Errorf("jug: a standard uncertainty of %s mL is as large as the jug of %s mL", figure(j.UML), figure(spec.SizeML))
	}
	var err error
	if j.Marks, err = uncert.New(1, marks, uncert.Source{ID: kindJug.id(j.ID), Label: "marks of the jug"}); err != nil {
		return Jug{}, fmt.Errorf("jug: %w", err)
	}
	return j, nil
}

// fillings is the number of equal fillings for a volume; at least 1.
func (j Jug) fillings(volumeML float64) int {
	return max(1, int(math.Ceil(volumeML/j.SizeML-1e-9)))
}

// relU is the relative standard uncertainty of the readings of a volume poured
// in n fillings, marks apart.
func (j Jug) relU(volumeML float64, n int) float64 { return math.Sqrt(float64(n)) * j.UML / volumeML }

// gramsPerML is the mass of water for each mL read.
func (b Bench) gramsPerML() (uncert.Value, error) {
	density, err := uncert.Apply(func(t ...float64) (float64, error) {
		rho, err := solutions.WaterDensity(t[0])
		return rho / 1000, err
	}, b.Water.TempC)
	if err != nil {
		return uncert.Value{}, err
	}
	return b.Jug.Marks.Mul(density), nil
}

// poured is the mass of water measured by the jug: volume times density.
func (b Bench) poured(v vessel, fillingsML []float64) (uncert.Value, error) {
	if b.Jug == nil {
		return uncert.Value{}, fmt.Errorf("%s: water was given by volume without the jug that measured it", v.name)
	}
	total, err := sum(VolumesRange, fillingsML)
	if err != nil {
		return uncert.Value{}, fmt.Errorf("%s: water volume: %w", v.name, err)
	}
	for _, ml := range fillingsML {
		if ml > b.Jug.SizeML*(1+1e-9) {
			return uncert.Value{}, fmt.Errorf("%s: water volume: %s mL in one filling is above the size of the jug, %s mL; give each filling by itself", v.name, figure(ml), figure(b.Jug.SizeML))
		}
	}
	perML, err := b.gramsPerML()
	if err != nil {
		return uncert.Value{}, err
	}
	read, err := uncert.New(total, b.Jug.UML*math.Sqrt(float64(len(fillingsML))),
		uncert.Source{ID: kindFilling.id(v.owner + "/water"), Label: "volume of water" + v.suffix})
	if err != nil {
		return uncert.Value{}, err
	}
	return read.Mul(perML), nil
}
