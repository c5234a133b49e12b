package solutions

var kclConductance = conductance{
	limiting:    [4]float64{149.7793, 74.387768, 5.4689562, -0.73435824},
	logarithmic: 9.5536952,
	linear:      [5]float64{156.39427, -2.5435468, 1.9280924, -0.73284361, 0.2612977},
	threeHalves: [5]float64{-148.17506, -0.52173727},
	quadratic:   48.990984,
	u:           modelUncertainty{base: 0.0004, dilute: 0.0008, warm: 0.0004, strong: 0.0002},
}

var naclConductance = conductance{
	limiting:    [4]float64{126.40847, 65.718919, 5.8846494, -0.37596701},
	logarithmic: 3.060921,
	linear:      [5]float64{127.09895, 0.4379, 1.18666, -0.59557, 0.21235},
	threeHalves: [5]float64{-119.03155, -0.41912},
	quadratic:   41.005674,
	u:           modelUncertainty{base: 0.0008, dilute: 0.0005, warm: 0.004, strong: 0.0012},
}
