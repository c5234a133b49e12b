package solutions

import (
	"errors"
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
)

// ErrUnknownSalt is wrapped by the error for a salt that the package has no
// figures for.
var ErrUnknownSalt = errors.New("unknown salt")

// Salt is a salt that references are made of. Use [NaCl], [KCl] or
// [SaltByFormula]; a Salt built by hand carries no model and every function
// refuses it with [ErrUnknownSalt].
type Salt struct {
	Formula    string  // "NaCl"
	Name       string  // "sodium chloride"
	MolarMass  float64 // g/mol
	UMolarMass float64 // standard uncertainty of MolarMass, g/mol
	Density    float64 // of the solid, 20 to 25 C, kg/m3
	UDensity   float64 // standard uncertainty of Density, kg/m3

	density     *apparentDensity
	conductance *conductance
	solubility  *solubilityTable
}

// NaCl is sodium chloride.
//
// Molar mass: Na 22.98977 + Cl 35.453 (IUPAC standard atomic weights in use
// when the conductivity tables were printed; the conventional Cl 35.45 of
// today lowers it by 0.005 %, which is taken as its standard uncertainty).
// Density of the solid: CRC Handbook 2.17 g/cm3 (2.165 is printed as well).
var NaCl = Salt{
	Formula: "NaCl", Name: "sodium chloride",
	MolarMass: 58.4428, UMolarMass: 0.003,
	Density: 2170, UDensity: 10,
	density: &naclDensity, conductance: &naclConductance, solubility: &naclSolubility,
}

// KCl is potassium chloride.
//
// Molar mass: K 39.0983 + Cl 35.453, as for [NaCl]. Density of the solid: CRC
// Handbook 1.988 g/cm3 (1.984 is printed as well).
var KCl = Salt{
	Formula: "KCl", Name: "potassium chloride",
	MolarMass: 74.5513, UMolarMass: 0.003,
	Density: 1988, UDensity: 5,
	density: &kclDensity, conductance: &kclConductance, solubility: &kclSolubility,
}

// Salts returns the salts that have a conductivity model.
func Salts() []Salt { return []Salt{NaCl, KCl} }

// SaltByFormula finds a salt by its formula, in upper or lower case. The error
// for any other text wraps [ErrUnknownSalt] and lists the known formulas.
func SaltByFormula(formula string) (Salt, error) {
	var known []string
	for _, s := range Salts() {
		if strings.EqualFold(strings.TrimSpace(formula), s.Formula) {
			return s, nil
		}
		known = append(known, s.Formula)
	}
	return Salt{}, fmt.Errorf("%w %s; want %s", ErrUnknownSalt, quantity.Quoted(formula), strings.Join(known, " or "))
}

// String returns the formula.
func (s Salt) String() string { return s.Formula }

// check refuses a Salt that was built by hand.
func (s Salt) check() error {
	if s.density == nil || s.conductance == nil || s.solubility == nil {
		return fmt.Errorf("%w %q: no model for it in this package", ErrUnknownSalt, s.Formula)
	}
	return nil
}
