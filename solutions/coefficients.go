package solutions

// The coefficients of the conductivity model: see conductance for the form,
// and derive_test.go for the derivation, which anyone can repeat with
//
//	go test ./solutions -run TestCoefficientsAreRederived -v
//
// It prints them as they stand here. Why this form, and which tables:
//
//   - The published single-equation coefficients (McCleskey 2011) are 0.4 to
//     1.1 % off the primary KCl table. The limiting law with free higher terms
//     meets it to 0.023 %.
//   - The higher terms are scaled by the fluidity of water. That takes up
//     nearly all of their change with temperature, so few coefficients have to
//     follow it, and none can swing between the three strengths that the
//     primary table has.
//   - The term in c²√c and one value at 1.5 mol/L keep the end of the curve
//     straight: without them it bends up from 0.7 mol/L, by 0.13 % at 0.7 and
//     0.2 % at 1.1 mol/L, though it meets the values at 0.5 and 1 mol/L.
//   - The coefficient of c ln c is fitted. The value of Fuoss and Onsager
//     belongs to a series that ends at c√c and is good to 0.01 mol/L; held to
//     it, the form misses the handbook values by 0.2 %.

// kclConductance: weighted least squares to the primary table (IUPAC 2001, 35
// values), the handbook's molar conductivities at 25 C (12) and limiting
// conductivities 0 to 55 C (Robinson and Stokes, 6).
var kclConductance = conductance{
	limiting:    [4]float64{149.7967, 74.392269, 5.4832202, -0.72284516},
	logarithmic: 14.273363,
	linear:      [5]float64{180.77053, -2.5039918, 1.9112819, -0.73569062, 0.26242124},
	threeHalves: [5]float64{-208.37597, -0.57118407},
	quadratic:   109.83324,
	fiveHalves:  -25.094584,
	u: modelUncertainty{
		base:    0.0005, // IUPAC: about 0.03 to 0.04 %, residuals up to 0.023 %; the handbook at 25 C is 0.04 % lower
		dilute:  0.0009, // limiting conductivities by temperature, residuals up to 0.1 %
		temp:    0.0003,
		strong:  0.0002,
		between: 0.001, // the tables have 0.1 and 1 mol/kg; between them the salinity scale at 15 C and Kohlrausch at 18 C agree to 0.03 %
	},
}

// naclConductance: weighted least squares to the handbook's molar
// conductivities at 25 C (12), limiting conductivities 0 to 55 C (Robinson and
// Stokes, 6; Gunning and Gordon, 3) and the shape with temperature at 1 mol/kg
// (McCleskey 2011, corrected by the same source's error for KCl, 9). The higher
// terms change with temperature as those of KCl, save two coefficients of c.
var naclConductance = conductance{
	limiting:    [4]float64{126.40717, 65.738124, 6.000552, -0.50774637},
	logarithmic: 5.4559078,
	linear:      [5]float64{141.47968, 0.50981084, 1.0771562, -0.57578675, 0.20538344},
	threeHalves: [5]float64{-159.8372, -0.43813334},
	quadratic:   87.692063,
	fiveHalves:  -20.267431,
	u: modelUncertainty{
		base:       0.001,  // one handbook column, residuals 0.015 %, on the older scale that is 0.04 % below IUPAC's for KCl
		temp:       0.0036, // limiting conductivities, which disagree by 0.6 % at 0 C and by 0.1 % up to 45 C
		strong:     0.0011, // from memory, of unsure ohm (0.05 %)
		strongTemp: 0.004,  // the shape at 1 mol/kg needs a correction of 1 % at 5 C, found with KCl
		between:    0.001,  // as for KCl
	},
}
