package plan

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/solutions"
)

// Names of the grades.
const (
	GradeReagent = "reagent"
	GradeFood    = "food"
)

// Grade is what a label promises about a salt: a least content. Anything
// between that and 100 % is taken as equally likely.
type Grade struct {
	Name string
	Salt string // formula
	// Minimum is the promised mass fraction of the salt in the dry matter.
	Minimum float64
	// Source says who promises it.
	Source string
	// Notes are for the person who uses it.
	Notes []string
}

// Purity is the middle of the interval from the minimum to 1.
func (g Grade) Purity() float64 { return (g.Minimum + 1) / 2 }

// UPurity is the standard uncertainty of a rectangular distribution from the
// minimum to 1 (JCGM 100:2008 4.3.7).
func (g Grade) UPurity() float64 { return (1 - g.Minimum) / 2 / math.Sqrt(3) }

// Grades lists the grades known, each with its source.
var Grades = []Grade{
	{
		Name: GradeReagent, Salt: "NaCl", Minimum: 0.995,
		Source: "labels of analytical reagents promise 99.5 % or more (common practice, no single source); the certificate of your jar is better",
	},
	{
		Name: GradeReagent, Salt: "KCl", Minimum: 0.995,
		Source: "labels of analytical reagents promise 99.5 % or more (common practice, no single source); the certificate of your jar is better",
	},
	{
		Name: GradeFood, Salt: "NaCl", Minimum: 0.97,
		Source: "Codex Stan 150-1985, 3.1: not less than 97 % NaCl on a dry matter basis, exclusive of additives; refined table salt is usually better (99.5 % and more, common practice)",
		Notes: []string{
			"food-grade salt: iodine (15 to 40 mg/kg) is too little to matter; a carbonate or silicate anti-caking agent may be up to 2 % of the salt and is not counted in the 97 %, so choose salt without one (traces of ferrocyanide do no harm)",
		},
	},
	{
		Name: GradeFood, Salt: "KCl", Minimum: 0.99,
		Source: "food-additive specification for potassium chloride (INS 508), JECFA, FNP 52 (1992): assay not less than 99.0 % on the dried basis, loss on drying not more than 1 %",
	},
}

// gradeFor finds a grade by name; known is false for an empty name. A name
// that means a kind of salt that cannot be a reference gets the reason, any
// other unknown one the list of names.
func gradeFor(salt solutions.Salt, name string) (g Grade, known bool, err error) {
	word := strings.ToLower(strings.TrimSpace(name))
	if word == "" {
		return Grade{}, false, nil
	}
	if err := Refused(word); err != nil {
		return Grade{}, false, err
	}
	if salt.Formula == solutions.NaCl.Formula && OrdinarySalt(word) {
		word = GradeFood
	}
	var names []string
	for _, g := range Grades {
		if g.Salt != salt.Formula {
			continue
		}
		if g.Name == word {
			return g, true, nil
		}
		names = append(names, g.Name)
	}
	slices.Sort(names)
	return Grade{}, false, fmt.Errorf("grade %q of %s is not known; known: %s, or give the purity and its uncertainty", name, salt.Formula, strings.Join(names, ", "))
}

// figure prints a number for a message: short, with an exponent only where it
// is far from everyday size.
func figure(x float64) string {
	if size := math.Abs(x); size >= 1e9 || size < 1e-6 && size > 0 {
		return strconv.FormatFloat(x, 'g', 4, 64)
	}
	return strconv.FormatFloat(roundTo(x, 4), 'f', -1, 64)
}

// roundTo rounds x to n significant digits.
func roundTo(x float64, n int) float64 {
	if x == 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	scale := math.Pow(10, float64(n-1)-math.Floor(math.Log10(math.Abs(x))))
	if math.IsInf(scale, 0) || scale == 0 {
		return x
	}
	return math.Round(x*scale) / scale
}
