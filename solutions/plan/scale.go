package plan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Ranges of what may be said of a scale.
var (
	StepRange      = solutions.Range{Quantity: "step", Unit: "g", Low: 1e-5, High: 100}
	CapacityRange  = solutions.Range{Quantity: "capacity", Unit: "g", Low: 0.1, High: 200000}
	UWeighingRange = solutions.Range{Quantity: "standard uncertainty of one weighing", Unit: "g", Low: 0, High: 1000}
	LinearityRange = solutions.Range{Quantity: "linearity", Unit: "g", Low: 0, High: 1000}
	GainRange      = solutions.Range{Quantity: "standard uncertainty of the gain", Unit: "%", Low: 0, High: 20}
	ContainerRange = solutions.Range{Quantity: "container", Unit: "g", Low: 0, High: 200000}
)

// What is taken where a person says nothing. Common practice, no source.
const (
	defaultStepG     = 0.01
	defaultCapacityG = 200
	defaultUGain     = 0.001
)

// defaultContainerG is the empty container on a scale of this capacity: a light
// cup of a fifth of it on a pocket scale, a beaker or bottle of 50 g on a scale
// up to 1 kg, a bucket or large bottle of a twentieth of it beyond. Common
// practice, no source.
func defaultContainerG(capacityG float64) float64 {
	return max(min(50, 0.2*capacityG), 0.05*capacityG)
}

// ScaleSpec is what a person says of a scale. nil means that nothing was said,
// 0 is a stated zero.
type ScaleSpec struct {
	// ID is the identity of the scale: weighings on one ID share its gain.
	// Empty stands for "scale".
	ID string
	// StepG is the step of the display (default 0.01 g).
	StepG *float64
	// UG is the standard uncertainty of one weighing, the difference of two
	// readings: step, repeatability, tare and, unless LinearityG is given,
	// linearity. Default: one step (common practice, no source).
	UG *float64
	// CapacityG is the largest load (default 200 g).
	CapacityG *float64
	// ContainerG is the mass of the empty container that stands on the scale
	// while it is filled (default: a fifth of the capacity up to 250 g, 50 g up
	// to 1 kg, a twentieth of it beyond).
	ContainerG *float64
	// UGain is the relative standard uncertainty of the gain, the error
	// common to all weighings (default 0.1 %).
	UGain *float64
	// LinearityG is the data sheet's largest deviation from a straight line,
	// plus or minus, taken as rectangular. Default: within UG.
	LinearityG *float64
}

// Scale is a scale with what is known of it.
type Scale struct {
	ID             string
	StepG          float64
	UG             float64 // of one weighing; 0 is exact
	CapacityG      float64
	CapacityStated bool // whether the capacity was given, so that a reading above it is a mistake
	ContainerG     float64
	LinearityG     float64      // half-width; 0 where it is within UG
	Gain           uncert.Value // near 1
	// Assumptions and Warnings are in words for the person at the bench;
	// RoomAssumptions are those on what fits on the scale, which matter for a
	// plan only.
	Assumptions, RoomAssumptions, Warnings []string
}

// NewScale checks what a person says of a scale and completes it. Errors:
// figures outside their ranges, a container that leaves no room below the
// capacity.
func NewScale(spec ScaleSpec) (Scale, error) {
	s := Scale{ID: spec.ID, CapacityStated: spec.CapacityG != nil}
	if s.ID == "" {
		s.ID = "scale"
	}
	assume := func(given *float64, otherwise float64, r solutions.Range, percent bool) (float64, error) {
		if given == nil {
			return otherwise, nil
		}
		x := *given
		if percent {
			x *= 100
		}
		return *given, r.Check("scale", x)
	}
	var err error
	if s.StepG, err = assume(spec.StepG, defaultStepG, StepRange, false); err != nil {
		return Scale{}, err
	}
	if s.CapacityG, err = assume(spec.CapacityG, defaultCapacityG, CapacityRange, false); err != nil {
		return Scale{}, err
	}
	if s.UG, err = assume(spec.UG, s.StepG, UWeighingRange, false); err != nil {
		return Scale{}, err
	}
	if s.ContainerG, err = assume(spec.ContainerG, defaultContainerG(s.CapacityG), ContainerRange, false); err != nil {
		return Scale{}, err
	}
	if s.LinearityG, err = assume(spec.LinearityG, 0, LinearityRange, false); err != nil {
		return Scale{}, err
	}
	uGain, err := assume(spec.UGain, defaultUGain, GainRange, true)
	if err != nil {
		return Scale{}, err
	}
	if s.Gain, err = uncert.New(1, uGain, uncert.Source{ID: kindGain.id(s.ID), Label: "scale gain"}); err != nil {
		return Scale{}, err
	}
	if s.ContainerG >= s.CapacityG {
		return Scale{}, fmt.Errorf("scale: a container of %s g leaves no room below the capacity of %s g; take a lighter container or a larger scale", figure(s.ContainerG), figure(s.CapacityG))
	}
	if s.StepG >= s.room() {
		return Scale{}, fmt.Errorf("scale: a step of %s g is not smaller than the room of %s g between container and capacity", figure(s.StepG), figure(s.room()))
	}
	s.remark(spec)
	return s, nil
}

// roundingOfTwo is the standard uncertainty of the difference of two readings
// that comes from rounding to the step alone, in steps: √2/√12.
var roundingOfTwo = math.Sqrt(2.0 / 12)

func (s *Scale) remark(spec ScaleSpec) {
	if spec.StepG == nil {
		s.Assumptions = append(s.Assumptions, fmt.Sprintf("step of the scale: %s g (not given)", figure(s.StepG)))
	}
	if spec.UG == nil {
		s.Assumptions = append(s.Assumptions, fmt.Sprintf("one weighing: u %s g, one step (not given; unknown is not zero; common practice, no source)", figure(s.UG)))
	} else if s.UG > 0 && s.UG < roundingOfTwo*s.StepG {
		s.Warnings = append(s.Warnings, fmt.Sprintf("u of a weighing, %s g, is less than what rounding two readings to %s g costs, %s g", figure(s.UG), figure(s.StepG), figure(roundingOfTwo*s.StepG)))
	}
	if spec.CapacityG == nil {
		s.RoomAssumptions = append(s.RoomAssumptions, fmt.Sprintf("capacity of the scale: %s g (not given)", figure(s.CapacityG)))
	}
	if spec.ContainerG == nil {
		s.RoomAssumptions = append(s.RoomAssumptions, fmt.Sprintf("empty container on the scale: %s g (not given; common practice, no source)", figure(s.ContainerG)))
	}
	if spec.UGain == nil {
		s.Assumptions = append(s.Assumptions, "gain of the scale: u 0.1 % (not given; it drops out of everything weighed on one scale)")
	}
}

// room is what fits on the scale beside the container, in g.
func (s Scale) room() float64 { return s.CapacityG - s.ContainerG }

// portions is the number of equal portions in which a mass is weighed, the
// container counted in; at least 1.
func (s Scale) portions(massG float64) int {
	// The small allowance keeps a mass that fits exactly in one portion less.
	return max(1, int(math.Ceil(massG/s.room()-1e-9)))
}

// relU is the relative standard uncertainty of a mass read as massG in n equal
// portions: the readings are independent, the deviation from a straight line
// is the same for each.
func (s Scale) relU(massG float64, n int) float64 {
	k := float64(n)
	return math.Sqrt(k*s.UG*s.UG+k*k*s.LinearityG*s.LinearityG/3) / massG
}

// Format prints a mass rounded to the scale's step, without the unit.
func (s Scale) Format(massG float64) string {
	return strconv.FormatFloat(s.round(massG), 'f', s.decimals(), 64)
}

func (s Scale) round(massG float64) float64 { return math.Round(massG/s.StepG) * s.StepG }

func (s Scale) decimals() int {
	text := strconv.FormatFloat(roundTo(s.StepG, 6), 'f', -1, 64)
	_, frac, _ := strings.Cut(text, ".")
	return len(frac)
}
