package shelf

import (
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/solutions/plan"
)

// Made is a bottle as it was made, for the record: with all its sources, so
// that what it shares with the other bottles of its stock is kept. The name is
// that of the record; masses of the bottle and dates are the caller's.
func Made(m plan.Made, name string) (logbook.Bottle, error) {
	ratio, err := m.Mixed.Impurity.Div(m.Mixed.Pure)
	if err != nil {
		return logbook.Bottle{}, err
	}
	content := m.Mixed.MassG.Nominal()
	if m.Loss != nil {
		content -= m.Loss.MassG.Nominal()
	}
	return logbook.Bottle{
		Name: name, Salt: m.Bench.Jar.Salt.Formula,
		StrengthUnit: "mol/kg", Strength: logbook.Keep(m.Now.Molality),
		WaterEC25: logbook.Keep(m.Bench.Water.EC25),
		Deviation: logbook.Keep(m.Bench.Jar.Conducts.Mul(ratio)),
		ContentG:  &content,
	}, nil
}
