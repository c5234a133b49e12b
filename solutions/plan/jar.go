package plan

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Ranges of what may be said of a jar of salt, in percent of mass.
var (
	// PurityRange limits the purity. Below its lower end a salt is a
	// mixture, whose conductivity the model of one salt does not know.
	PurityRange = solutions.Range{Quantity: "purity", Unit: "%", Low: 50, High: 100}
	// MoistureRange limits the moisture of the salt as it lies in the jar.
	MoistureRange = solutions.Range{Quantity: "moisture", Unit: "%", Low: 0, High: 20}
	// UPurityRange and UMoistureRange limit their standard uncertainties.
	UPurityRange   = solutions.Range{Quantity: "standard uncertainty of the purity", Unit: "%", Low: 0, High: 20}
	UMoistureRange = solutions.Range{Quantity: "standard uncertainty of the moisture", Unit: "%", Low: 0, High: 20}
)

// JarSpec is what a person says of a jar of salt. Fractions are of mass; nil
// means that nothing was said, 0 is a stated zero.
type JarSpec struct {
	// ID is the identity of the jar: bottles from jars of one ID share its
	// purity. Empty stands for the salt's formula.
	ID string
	// Portion is the identity of the salt that was dried and weighed together,
	// which has a moisture of its own. Empty: all of the jar is one.
	Portion string
	// Grade is the name of a grade of [Grades], or empty.
	Grade string
	// Purity is the mass fraction of the salt in the dry matter, and
	// UPurity its standard uncertainty. Purity without UPurity leaves the
	// uncertainty unstated.
	Purity, UPurity *float64
	// Moisture is the mass fraction of water in the salt as it is weighed,
	// and UMoisture its standard uncertainty. Without both, the salt is
	// taken to be dried as the steps say, see [Jar].
	Moisture, UMoisture *float64
}

// Jar is a jar of salt with what is known of it.
type Jar struct {
	ID   string
	Salt solutions.Salt
	// Grade is the grade that the purity was taken from, or empty.
	Grade string
	// Purity is the mass fraction of the salt in the dry matter.
	Purity uncert.Value
	// Moisture is the mass fraction of water in what is weighed. A salt
	// dried as the steps say is taken as 0 with a standard uncertainty of
	// 0.06 %: the root mean square of anything between 0 and 0.1 %.
	Moisture uncert.Value
	// Conducts is the conductance of the impurities relative to the salt's,
	// gram for gram. Its expected value is 0, as if they were inert, so that
	// a bottle's value is that of its pure salt. It widens the uncertainty
	// instead: anything between 0 (anti-caking agents) and 1 (sulfates 0.6
	// to 0.95, chlorides 0.93 to 1.26 of sodium chloride, from the handbook's
	// limiting equivalent conductivities) has the root mean square 1/√3
	// (JCGM 100:2008 F.2.4.5 on a known offset left uncorrected). The true
	// offset can only be upwards.
	Conducts uncert.Value
	// Dried tells that the moisture is that of dried salt, not a figure
	// given.
	Dried bool
	// Assumptions and Warnings are in words for the person at the bench.
	Assumptions, Warnings []string
}

// driedMoistureU is the root mean square of a rectangle from 0 to 0.1 %.
// Common practice, no source.
var driedMoistureU = 0.001 / math.Sqrt(3)

// NewJar checks what a person says of a jar and completes it from the grade.
// Errors: an unknown or refused grade, figures outside their ranges, an
// uncertainty of the purity without the purity it belongs to.
func NewJar(salt solutions.Salt, spec JarSpec) (Jar, error) {
	jar := Jar{ID: spec.ID, Salt: salt}
	if jar.ID == "" {
		jar.ID = salt.Formula
	}
	if err := jar.setPurity(spec); err != nil {
		return Jar{}, err
	}
	if err := jar.setMoisture(spec); err != nil {
		return Jar{}, err
	}
	conducts, err := uncert.New(0, 1/math.Sqrt(3), jar.source(kindImpurities, "impurities that conduct"))
	if err != nil {
		return Jar{}, err
	}
	jar.Conducts = conducts
	return jar, nil
}

func (j *Jar) source(k kind, label string) uncert.Source {
	return uncert.Source{ID: k.id(j.ID), Label: label}
}

func (j *Jar) setPurity(spec JarSpec) error {
	grade, known, err := gradeFor(j.Salt, spec.Grade)
	if err != nil {
		return err
	}
	if known {
		j.Grade = grade.Name
	}
	s := j.source(kindPurity, "purity")
	if spec.Purity == nil {
		if spec.UPurity != nil {
			return fmt.Errorf("purity: an uncertainty of %s %% was given without the purity it belongs to; give both", figure(100**spec.UPurity))
		}
		if !known {
			grade, _, err = gradeFor(j.Salt, GradeReagent)
			if err != nil {
				return err
			}
			j.Grade = grade.Name
			j.Warnings = append(j.Warnings, "neither grade nor purity of the salt was given: taken as reagent grade; for salt from the kitchen say so (grade food)")
		}
		j.Warnings = append(j.Warnings, grade.Notes...)
		j.Purity, err = uncert.New(grade.Purity(), grade.UPurity(), s)
		j.Assumptions = append(j.Assumptions, fmt.Sprintf("purity %s %% with u %s %%: %s", figure(100*grade.Purity()), figure(100*grade.UPurity()), grade.Source))
		return err
	}
	if err := PurityRange.Check("salt", 100**spec.Purity); err != nil {
		return err
	}
	if j.Grade == GradeFood {
		j.Assumptions = append(j.Assumptions, "the purity given counts an anti-caking agent as impurity; iodine is too little to matter")
	}
	if spec.UPurity == nil {
		j.Purity = uncert.Unstated(*spec.Purity, s)
		j.Warnings = append(j.Warnings, "the uncertainty of the purity was not given: it is unknown, not zero, and is missing from every u")
		return nil
	}
	if err := UPurityRange.Check("salt", 100**spec.UPurity); err != nil {
		return err
	}
	j.Purity, err = uncert.New(*spec.Purity, *spec.UPurity, s)
	if err != nil {
		return fmt.Errorf("purity: %w", err)
	}
	return nil
}

func (j *Jar) setMoisture(spec JarSpec) error {
	s := j.source(kindMoisture, "moisture")
	if spec.Portion != "" {
		s.ID += "/" + spec.Portion
	}
	var err error
	switch {
	case spec.Moisture == nil && spec.UMoisture != nil:
		return fmt.Errorf("moisture: an uncertainty of %s %% was given without the moisture it belongs to; give both", figure(100**spec.UMoisture))
	case spec.Moisture == nil:
		j.Dried = true
		j.Assumptions = append(j.Assumptions, "the salt is dried as the steps say: moisture 0 with u 0.06 % (common practice, no source)")
		j.Moisture, err = uncert.New(0, driedMoistureU, s)
		return err
	}
	if err := MoistureRange.Check("salt", 100**spec.Moisture); err != nil {
		return err
	}
	if spec.UMoisture == nil {
		j.Moisture = uncert.Unstated(*spec.Moisture, s)
		j.Warnings = append(j.Warnings, "the uncertainty of the moisture was not given: it is unknown, not zero, and is missing from every u")
		return nil
	}
	if err := UMoistureRange.Check("salt", 100**spec.UMoisture); err != nil {
		return err
	}
	j.Moisture, err = uncert.New(*spec.Moisture, *spec.UMoisture, s)
	if err != nil {
		return fmt.Errorf("moisture: %w", err)
	}
	return nil
}
