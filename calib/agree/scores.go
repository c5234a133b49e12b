package agree

import (
	"fmt"
	"math"
)

// Grade is what a score of performance says.
type Grade string

// The grades of ISO 13528:2022, 9.4: up to 2 satisfactory, from 3
// unsatisfactory ("action"), questionable ("warning") between.
const (
	Satisfactory   Grade = "satisfactory"
	Questionable   Grade = "questionable"
	Unsatisfactory Grade = "unsatisfactory"
)

// ZScore returns (x − ref) / sigma, the difference from the reference in units
// of the standard deviation sigma that the job allows (ISO 13528:2022, 9.4). It
// is an error if a number is not finite or sigma is not above 0.
func ZScore(x, ref, sigma float64) (float64, error) {
	return score("z score", x, ref, sigma)
}

// ZPrimeScore is the z score with the standard uncertainty of the reference
// taken in, (x − ref) / √(sigma² + uRef²) (ISO 13528:2022, 9.5). Errors as for
// [ZScore]; sigma and uRef may not be negative.
func ZPrimeScore(x, ref, sigma, uRef float64) (float64, error) {
	return score("z' score", x, ref, sigma, uRef)
}

// ZetaScore returns (x − ref) / √(u² + uRef²): the difference in units of its
// own standard uncertainty (ISO 13528:2022, 9.6). The two must be independent.
// It is an error if a number is not finite, an uncertainty is negative, or both
// are 0.
func ZetaScore(x, u, ref, uRef float64) (float64, error) {
	return score("zeta score", x, ref, u, uRef)
}

// EnScore returns E_n, (x − ref) / √(U² + U_ref²), with expanded
// uncertainties U = 2u of coverage factor 2 (ISO 13528:2022, 9.7; ISO/IEC
// 17043). The arguments are standard uncertainties. Errors as for [ZetaScore].
func EnScore(x, u, ref, uRef float64) (float64, error) {
	return score("E_n", x, ref, 2*u, 2*uRef)
}

// GradeOf grades a z, z' or zeta score.
func GradeOf(z float64) Grade {
	switch z = math.Abs(z); {
	case z <= 2:
		return Satisfactory
	case z < 3:
		return Questionable
	default:
		return Unsatisfactory
	}
}

// GradeOfEn grades an E_n: up to 1 satisfactory, else unsatisfactory. Editions
// differ on exactly 1; it counts as satisfactory here.
func GradeOfEn(en float64) Grade {
	if math.Abs(en) <= 1 {
		return Satisfactory
	}
	return Unsatisfactory
}

func score(what string, x, ref float64, parts ...float64) (float64, error) {
	scale := 0.0
	for _, p := range parts {
		if !finite(p) || p < 0 {
			return 0, fmt.Errorf("%s: uncertainty %v; want a finite number not below 0", what, p)
		}
		scale = math.Hypot(scale, p)
	}
	if !finite(x) || !finite(ref) {
		return 0, fmt.Errorf("%s: value %v against %v; want finite numbers", what, x, ref)
	}
	if scale == 0 {
		return 0, fmt.Errorf("%s: no uncertainty on either side; want at least one above 0", what)
	}
	return (x - ref) / scale, nil
}
