package solutions

// humidityRange is the range of all salts here but K2CO3.
var humidityRange = Range{Quantity: "temperature", Unit: "C", Low: 0, High: 50}

// saturatedSalts is the table behind [SaturatedSalts]: coefficients of
// Greenspan 1977, Table 1, and his stated uncertainties, Table 2 (from memory
// but for NaCl at 25 C, printed 75.29 ± 0.12). Public copies of the table
// carry a minus at A1 of LiCl and of K2CO3; only the plus gives the printed
// 11.30 and 43.16 %RH at 25 C.
var saturatedSalts = []SaturatedSalt{
	{
		Formula: "LiCl", Name: "lithium chloride", Range: humidityRange,
		coefficients: []float64{11.2323, 0.00824245, -0.00021489},
		stated:       []knot{{0, 0.54}, {10, 0.41}, {20, 0.31}, {25, 0.27}, {30, 0.24}, {40, 0.21}, {50, 0.22}},
		belowC:       20,
		belowText:    "below about 19 C lithium chloride forms a dihydrate and the humidity may depart from the table: use it above 20 C (from memory)",
		Making:       Making{NotAtHome: "lithium chloride is harmful if swallowed and acts on the nerves: not for a household; MgCl2 gives the nearest low point"},
	},
	{
		Formula: "MgCl2", Name: "magnesium chloride", Range: humidityRange,
		coefficients: []float64{33.6686, -0.00797397, -0.00108988},
		stated:       []knot{{0, 0.33}, {10, 0.24}, {20, 0.18}, {25, 0.16}, {30, 0.14}, {40, 0.13}, {50, 0.14}},
		Making:       saltSlurry("magnesium chloride hexahydrate (food grade)", "It draws water strongly and corrodes metal: keep electronics off it."),
	},
	{
		Formula: "K2CO3", Name: "potassium carbonate", Range: Range{Quantity: "temperature", Unit: "C", Low: 0, High: 30},
		coefficients: []float64{43.1315, 0.00147523},
		stated:       []knot{{0, 0.66}, {10, 0.39}, {20, 0.33}, {25, 0.39}, {30, 0.5}},
		Making:       saltSlurry("potassium carbonate", "Strongly alkaline: goggles and gloves, and never near acid (it foams)."),
	},
	{
		Formula: "Mg(NO3)2", Name: "magnesium nitrate", Range: humidityRange,
		coefficients: []float64{60.3514, -0.298153},
		stated:       []knot{{0, 0.55}, {10, 0.33}, {20, 0.23}, {25, 0.22}, {30, 0.24}, {40, 0.37}, {50, 0.6}},
		Making:       saltSlurry("magnesium nitrate hexahydrate (fertiliser grade)", "A nitrate is an oxidiser: away from fuel, paper, flame and children."),
	},
	{
		Formula: "NaCl", Name: "sodium chloride", Range: humidityRange,
		coefficients: []float64{75.5164, 0.0398321, -0.00265459, 2.848e-05},
		stated:       []knot{{0, 0.34}, {10, 0.22}, {20, 0.14}, {25, 0.12}, {30, 0.11}, {40, 0.13}, {50, 0.19}},
		Making:       saltSlurry("sodium chloride without iodine or anti-caking agent (they may shift it by some tenths of a %RH; common practice)", "Salt corrodes metal: keep electronics off it."),
	},
	{
		Formula: "KCl", Name: "potassium chloride", Range: humidityRange,
		coefficients: []float64{88.619, -0.19334, 0.000899706},
		stated:       []knot{{0, 0.53}, {10, 0.39}, {20, 0.29}, {25, 0.26}, {30, 0.25}, {40, 0.25}, {50, 0.31}},
		Making:       saltSlurry("potassium chloride (not a low-sodium table salt, which is a mixture)", "Salt corrodes metal: keep electronics off it."),
	},
	{
		Formula: "K2SO4", Name: "potassium sulfate", Range: humidityRange,
		coefficients: []float64{98.7792, -0.0590502},
		stated:       []knot{{0, 1.1}, {10, 0.76}, {20, 0.53}, {25, 0.45}, {30, 0.4}, {40, 0.38}, {50, 0.45}},
		Making:       saltSlurry("potassium sulfate", "So near to saturation a fall of 0.5 C puts dew on the sensor: keep the box in a steady place."),
	},
}

// saltSlurry describes the closed box with damp salt in it. Times and slurry:
// padfield.org, saturated salts, and common practice.
func saltSlurry(salt, caution string) Making {
	return Making{
		Steps: []string{
			"Put a layer of about 1 cm of " + salt + " into a flat dish in a small box that closes tightly.",
			"Add distilled water by drops and stir until the salt is a damp slurry: crystals must stay visible, a clear solution is wrong.",
			"Place the sensor over the salt, touching neither salt nor wall, and close the box.",
			"Keep it where the temperature is steady, out of sun and draught, and wait: 1 hour, or several hours above 80 %RH.",
			"Read the sensor and the temperature in the box until both stand still, then look up the humidity at that temperature.",
		},
		Cautions: []string{
			caution,
			"Label the box; not food. Wash hands afterwards.",
		},
	}
}
