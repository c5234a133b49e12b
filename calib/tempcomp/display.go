package tempcomp

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Scale turns a compensated conductivity into the number on the display.
type Scale struct {
	Unit   string  // "uS/cm", "mS/cm" or "ppm"
	Factor float64 // display units per uS/cm
}

// Units of the scales.
const (
	MicroSiemensUnit = "uS/cm"
	MilliSiemensUnit = "mS/cm"
	PPMUnit          = "ppm"
)

// MicroSiemens returns the scale in uS/cm.
func MicroSiemens() Scale { return Scale{Unit: MicroSiemensUnit, Factor: 1} }

// MilliSiemens returns the scale in mS/cm.
func MilliSiemens() Scale { return Scale{Unit: MilliSiemensUnit, Factor: 1e-3} }

// PPM returns a ppm scale, ppm = factor · κ with κ in uS/cm. The factor (0.5,
// 0.64 and 0.7 are common) must lie in [PPMFactorRange].
func PPM(factor float64) (Scale, error) {
	if err := checkPPMFactor(factor); err != nil {
		return Scale{}, err
	}
	return Scale{Unit: PPMUnit, Factor: factor}, nil
}

// ParseScale returns the scale with this unit. ppmFactor is read for ppm
// alone.
func ParseScale(unit string, ppmFactor float64) (Scale, error) {
	switch strings.TrimSpace(unit) {
	case MicroSiemensUnit, "µS/cm", "μS/cm":
		return MicroSiemens(), nil
	case MilliSiemensUnit:
		return MilliSiemens(), nil
	case PPMUnit:
		return PPM(ppmFactor)
	}
	return Scale{}, fmt.Errorf("display unit %q is not known; want uS/cm, mS/cm or ppm", unit)
}

// String returns the scale in words.
func (s Scale) String() string {
	if s.Unit == PPMUnit {
		return fmt.Sprintf("ppm (%g ppm per uS/cm)", s.Factor)
	}
	return s.Unit
}

func (s Scale) check() error {
	switch {
	case s == MicroSiemens(), s == MilliSiemens():
		return nil
	case s.Unit == PPMUnit:
		return checkPPMFactor(s.Factor)
	}
	return fmt.Errorf("display scale %q with factor %g is not known; want uS/cm, mS/cm or ppm: %w", s.Unit, s.Factor, ErrOutOfRange)
}

// Display is the way a meter shows conductivity: a compensation rule and a
// scale.
type Display struct {
	Rule  Rule
	Scale Scale
}

// Show returns what a perfect meter with this display shows in a liquid of
// conductivity kappa (uS/cm, at the liquid's temperature, uncompensated) and
// temperature tempC: scale · κ / F(t), in the unit of the scale. Where kappa
// was itself computed at tempC, both carry the thermometer's source and its
// two effects meet before they are squared: most of them cancel, which is what
// compensation is for. A negative or non-finite kappa, a temperature outside
// the rule's range and a display without rule or scale are errors.
func (d Display) Show(kappa, tempC uncert.Value) (uncert.Value, error) {
	k, t := kappa.Nominal(), tempC.Nominal()
	if err := notNegative("conductivity", k); err != nil {
		return uncert.Value{}, err
	}
	f, slope, err := d.at(t)
	if err != nil {
		return uncert.Value{}, err
	}
	y := d.Scale.Factor * k / f
	return uncert.Combine(y,
		uncert.Term{Value: kappa, Slope: d.Scale.Factor / f},
		uncert.Term{Value: tempC, Slope: -y * slope / f})
}

// Recover returns the conductivity of the liquid at its own temperature (uS/cm,
// uncompensated) behind a reading in the unit of the scale: reading · F(t) /
// scale. tempC is what the meter's own thermometer showed. Errors as for
// [Display.Show].
func (d Display) Recover(reading, tempC uncert.Value) (uncert.Value, error) {
	r, t := reading.Nominal(), tempC.Nominal()
	if err := notNegative("reading", r); err != nil {
		return uncert.Value{}, err
	}
	f, slope, err := d.at(t)
	if err != nil {
		return uncert.Value{}, err
	}
	return uncert.Combine(r*f/d.Scale.Factor,
		uncert.Term{Value: reading, Slope: f / d.Scale.Factor},
		uncert.Term{Value: tempC, Slope: r * slope / d.Scale.Factor})
}

// Convert returns what another display would show where d shows reading at
// tempC. Errors as for [Display.Show].
func (d Display) Convert(to Display, reading, tempC uncert.Value) (uncert.Value, error) {
	kappa, err := d.Recover(reading, tempC)
	if err != nil {
		return uncert.Value{}, err
	}
	return to.Show(kappa, tempC)
}

// String returns the display in words.
func (d Display) String() string {
	if d.Rule == nil {
		return "no rule, " + d.Scale.String()
	}
	return fmt.Sprintf("%v, shown in %v", d.Rule, d.Scale)
}

// at checks the display and returns F and dF/dt at a temperature.
func (d Display) at(tempC float64) (f, slope float64, err error) {
	if d.Rule == nil {
		return 0, 0, fmt.Errorf("a display needs a compensation rule; want one of %s", strings.Join(RuleNames(), ", "))
	}
	if err := d.Scale.check(); err != nil {
		return 0, 0, err
	}
	if f, err = d.Rule.Factor(tempC); err != nil {
		return 0, 0, err
	}
	slope, err = d.Rule.Slope(tempC)
	return f, slope, err
}
