package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/spelling"
	"github.com/urfave/cli/v2"
)

// meterFactor is a meter whose display factor is known.
type meterFactor struct {
	meter  string
	factor float64 // display units per uS/cm
}

// ppmFactorFlag takes the known display factors of meters, such as P1=0.5.
func ppmFactorFlag() *cli.GenericFlag {
	return parsedFlag("ppm-factor", "a meter's display is known to be `METER=FACTOR`: display units per uS/cm, such as P1=0.5 (1 for uS/cm, 0.001 for mS/cm); may be repeated",
		true, parseMeterFactor)
}

func parseMeterFactor(text string) (meterFactor, error) {
	meter, number, ok := strings.Cut(text, "=")
	if meter = strings.TrimSpace(meter); !ok || meter == "" {
		return meterFactor{}, fmt.Errorf("%q: want METER=FACTOR, such as P1=0.5", text)
	}
	factor, err := quantity.ParseNumber(strings.TrimSpace(number))
	if err != nil {
		return meterFactor{}, err
	}
	if !(factor > 0) {
		return meterFactor{}, fmt.Errorf("%q: a factor is above 0; want 0.5, 0.64 or 0.7 for ppm, 1 for uS/cm, 0.001 for mS/cm", text)
	}
	return meterFactor{meter, factor}, nil
}

// getPPMFactors reads the ppmFactorFlag, for the meters that were read alone.
func getPPMFactors(c *cli.Context, meters []string) (map[string]float64, error) {
	list, err := all[meterFactor](c, "ppm-factor")
	if err != nil {
		return nil, err
	}
	out := map[string]float64{}
	for _, f := range list {
		if !slices.Contains(meters, f.meter) {
			if near, ok := spelling.Nearest(f.meter, meters); ok {
				return nil, usageError("--ppm-factor: no reading is of meter %q; the nearest is %s", f.meter, near)
			}
			return nil, usageError("--ppm-factor: no reading is of meter %q; there are %s", f.meter, strings.Join(meters, ", "))
		}
		out[f.meter] = f.factor
	}
	return out, nil
}
