package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every kind of reference as people see it.
func TestReferenceGolden(t *testing.T) {
	for name, line := range map[string]string{
		"salt":           "reference --salt NaCl --strength 600mg/L --temp 18C --u-temp 0.2C --u-strength 0.5% --water-ec 8uS/cm --u-water-ec 1uS/cm --ppm-factor 0.5",
		"salt-unstated":  "reference --salt KCl --strength 1413uS/cm --temp 20C",
		"salt-natural":   "reference --salt KCl --strength 0.01mol/kg --temp 20C --u-temp 0 --u-strength 0 --compensation natural-water --display mS/cm",
		"buffer":         "reference --buffer borax --temp 18C --u-temp 0.5C",
		"buffer-bottle":  "reference --buffer 10.01 --temp 30C --u-temp 0 --home-mixed",
		"buffer-oxalate": "reference --buffer tetroxalate --temp 18C",
		"saturated":      "reference --saturated mgcl2 --temp 18C --u-temp 0.5C",
		"ice":            "reference --ice",
		"boiling":        "reference --boiling --pressure 95.0kPa --u-pressure 0.3kPa",
		"altitude":       "reference --boiling --altitude 1500m",
		"oxygen":         "reference --oxygen --temp 18C --u-temp 0.2C --pressure 950hPa --u-pressure 3hPa --sample-ec 2mS/cm",
		"fresh-air":      "reference --fresh-air --year 2026 --site country",
		"table-salt":     "reference --salt NaCl --strength 600mg/L --table --step 5C --u-temp 0.2C --u-strength 0.5% --water-ec 8uS/cm --u-water-ec 1uS/cm --ppm-factor 0.5 --alpha 1.9%",
		"table-buffer":   "reference --buffer tartrate --table --u-temp 0",
		"table-boiling":  "reference --boiling --table --from 98kPa --to 104kPa --step 1kPa --u-pressure 0.3kPa",
		"table-year":     "reference --fresh-air --table",
		"salt-unknown":   "reference --salt KCl --strength 1413uS/cm --temp 25C",
		"salt-hard":      "reference --salt NaCl --strength 600mg/L --temp 18C --u-temp 0.2C --u-strength 0.5% --water-ec 300uS/cm --u-water-ec 5% --compensation none",
		"table-unstated": "reference --salt KCl --strength 1413uS/cm --table --from 20C --to 30C --step 5C",
		"table-bottle":   "reference --buffer 7.00 --table --step 5C --u-temp 0.5C",
	} {
		args := strings.Fields(line)
		r := invoke(args...)
		assert.Equal(t, statusDone, r.status, "%s: %s", name, r.stderr)
		golden(t, "reference/"+name+".txt", screen(args, r))
	}
}

func TestReferenceJSONGolden(t *testing.T) {
	for name, line := range map[string]string{
		"salt":  "reference --json --salt NaCl --strength 600mg/L --temp 18C --u-temp 0.2C --u-strength 0.5% --ppm-factor 0.5",
		"table": "reference --saturated K2CO3 --table --step 10C --json",
	} {
		r := invoke(strings.Fields(line)...)
		assert.Equal(t, statusDone, r.status, name)
		assert.Empty(t, r.stderr, "with --json warnings are in the object")
		golden(t, "reference/"+name+".json", r.stdout)
	}
}

func referenceJSON(t *testing.T, line string) map[string]any {
	t.Helper()
	r := invoke(append([]string{"reference", "--json"}, strings.Fields(line)...)...)
	require.Equal(t, statusDone, r.status, "%s: %s", line, r.stderr)
	var out map[string]any
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &out), line)
	return out
}

// The contract's examples against published values.
func TestReferenceValuesAgainstPublications(t *testing.T) {
	for _, c := range []struct {
		line           string
		quantity, unit string
		value, by      float64
	}{
		// IUPAC 2001 (Pratt et al.), KCl 0.01 mol/kg at 18 C; 0.06 %.
		{"--salt KCl --strength 0.01mol/kg --temp 18C", "conductivity", "uS/cm", 1219.93, 0.73},
		// IUPAC 2002 buffer table.
		{"--buffer borax --temp 20C", "ph", "pH", 9.225, 0.0005},
		{"--buffer phosphate-3.5 --temp 25C", "ph", "pH", 7.413, 0.0005},
		{"--buffer 7.00 --temp 15C", "ph", "pH", 7.04, 0.005},
		// Greenspan 1977, table 2.
		{"--saturated NaCl --temp 25C", "humidity", "%RH", 75.29, 0.0101},
		{"--saturated Mg(NO3)2 --temp 20C", "humidity", "%RH", 54.38, 0.0151},
		// Ice point; Wagner and Pruss 2002; US Standard Atmosphere 1976.
		{"--ice", "temperature", "C", 0, 0},
		{"--boiling --pressure 101.325kPa", "temperature", "C", 99.974, 0.0005},
		{"--boiling --altitude 2000m", "temperature", "C", 93.315, 0.0005},
		// Standard Methods 4500-O.
		{"--oxygen --temp 20C --pressure 101.325kPa", "oxygen", "mg/L", 9.092, 0.0005},
		// NOAA annual mean.
		{"--fresh-air --year 2024", "co2", "ppm", 422.79, 0.0001},
	} {
		out := referenceJSON(t, c.line)
		assert.Equal(t, c.quantity, out["quantity"], c.line)
		assert.Equal(t, c.unit, out["unit"], c.line)
		assert.InDelta(t, c.value, out["value"], c.by, c.line)
	}
}

func TestReferenceKnowsUnknownFromZero(t *testing.T) {
	line := "--salt NaCl --strength 600mg/L --temp 18C --water-ec 8uS/cm"
	unknown := referenceJSON(t, line)
	assert.Len(t, unknown["warnings"], 3)
	exact := referenceJSON(t, line+" --u-temp 0 --u-strength 0% --u-water-ec 0uS/cm")
	assert.Empty(t, exact["warnings"])
	assert.Equal(t, exact["value"], unknown["value"])
	stated := referenceJSON(t, line+" --u-temp 0.5C --u-strength 1% --u-water-ec 1uS/cm")
	assert.Empty(t, stated["warnings"])
	assert.Greater(t, stated["u_value"], exact["u_value"])
}

// One line, the place and the remedy, status 2, nothing on stdout.
func TestReferenceRefusals(t *testing.T) {
	for line, want := range map[string]string{
		"":                             "reference needs one of --salt, --buffer, --saturated, --ice, --boiling, --oxygen, --fresh-air",
		"--ice --boiling":              "--ice and --boiling are different references",
		"--salt NaCl --temp 18C":       "--salt needs --strength and --temp",
		"--salt NaCl --strength 1mS/m": "--salt needs --strength and --temp",
		"--salt sugar --strength 600mg/L --temp 18C":                                            "want NaCl or KCl",
		"--salt NaCl --strength 600ppm --temp 18C":                                              "600ppm@0.5",
		"--salt NaCl --strength 600mg/L --temp 77C":                                             "if that was degrees Fahrenheit, give it as 25C",
		"--salt NaCl --strength 600mg/L --temp 77F":                                             "write 25C",
		"--salt NaCl --strength 600mg/L --temp 18":                                              "has no unit",
		"--salt NaCl --strength 200g/L --temp 18C":                                              "strength of NaCl: mass concentration 200 g/L is outside its range",
		"--salt NaCl --strength 1uS/cm --temp 18C":                                              "conductivity 1 uS/cm is outside its range, 6.27",
		"--salt NaCl --strength 600mg/L --temp 18C --u-temp 400C":                               `--u-temp: "400C" is out of range; want a standard uncertainty of the temperature from 0 to 20 C`,
		"--salt NaCl --strength 600mg/L --temp 18C --u-strength 51%":                            "--u-strength: \"51%\" is out of range; want a relative standard uncertainty from 0 to 50 %",
		"--salt NaCl --strength 600mg/L --temp 18C --u-strength 400mg/L":                        "--u-strength: the uncertainty 400mg/L is more than half of the strength 600mg/L",
		"--salt NaCl --strength 600mg/L --temp 18C --u-temp 0.5":                                "want a standard uncertainty such as 0.2C, or 0 for exact",
		"--salt NaCl --strength 600mg/L --temp 18C --water-ec 3mS/cm":                           `--water-ec: "3mS/cm" is out of range; want a conductivity of the water at 25 C from 0 to 2000 uS/cm`,
		"--salt NaCl --strength 600mg/L --temp 18C --water-ec 8uS/cm --u-water-ec 2mS/cm":       "--u-water-ec: 2000 uS/cm is out of range",
		"--salt NaCl --strength 600mg/L --temp 18C --alpha 200%":                                `--alpha: "200%" is out of range; write 2%`,
		"--salt NaCl --strength 600mg/L --temp 18C --alpha 20%":                                 `--alpha: "20%" is out of range; write 2%`,
		"--salt NaCl --strength 600mg/L --temp 18C --alpha 2":                                   `--alpha: "2" has no unit; write 2%`,
		"--salt NaCl --strength 600mg/L --temp 18C --alpha 0.019":                               `--alpha: "0.019" has no unit; write 1.9%`,
		"--salt NaCl --strength 600mg/L --temp 18C --alpha 5000%":                               "want 0% to 10% for each degree",
		"--salt NaCl --strength 600mg/L --temp 18C --alpha x":                                   "want a fraction such as 2%",
		"--salt NaCl --strength 600mg/L --temp 0C --alpha 4%":                                   "temperature 0 C is outside its range, 2.5 to 50 C",
		"--salt sea-salt --strength 600mg/L --temp 18C":                                         "sea salt cannot be a reference: unrefined salt keeps magnesium",
		"--salt table-salt --strength 600mg/L --temp 18C":                                       "is NaCl: write NaCl here, and weigh it with brinemark recipe --salt NaCl --grade food",
		"--salt NaCl --strength 1413umhos/cm --temp 18C":                                        "write 1413uS/cm",
		"--salt NaCl --strength 600mg/L --temp 18degC":                                          "write 18C",
		"--salt NaCl --strength 600mg/L --temp 18C --u-temp -1C":                                "is negative",
		"--salt NaCl --strength 600mg/L --temp 18C --u-strength 3mg/kg":                         "another unit",
		"--salt NaCl --strength 600mg/L --temp 18C --u-water-ec 1uS/cm":                         "--u-water-ec needs --water-ec",
		"--salt NaCl --strength 600mg/L --temp 18C --display ppm":                               "--display ppm needs --ppm-factor",
		"--salt NaCl --strength 600mg/L --temp 18C --display mS":                                "want uS/cm, mS/cm, ppm",
		"--salt NaCl --strength 600mg/L --temp 18C --ppm-factor 500":                            "the scale named 500 has the factor 0.5",
		"--salt NaCl --strength 600mg/L --temp 18C --ppm-factor 0.5 --display mS/cm":            "--ppm-factor belongs to a display in ppm",
		"--buffer 7.01 --temp 25C":                                                              "write 7.00 for a bottle buffer, or phosphate",
		"--buffer 4.01 --temp 25C":                                                              "4.00 for a bottle buffer (go by the one printed on your bottle)",
		"--buffer 4,00 --temp 25C":                                                              `has a decimal comma; write "4.00"`,
		"--salt NaCl --strength 600mg/L --temp 18C --compensation none --alpha 2%":              "--alpha belongs to --compensation linear",
		"--salt NaCl --strength 600mg/L --temp 18C --compensation none --ref-temp 20C":          "--ref-temp has no meaning",
		"--salt NaCl --strength 600mg/L --temp 18C --compensation natural-water --ref-temp 20C": "exists for 25 C only",
		"--salt NaCl --strength 600mg/L --temp 36C --compensation natural-water":                "0 to 35.9 C",
		"--salt NaCl --strength 600mg/L --temp 18C --compensation curved":                       "linear, none, natural-water",
		"--buffer pH9 --temp 18C":                                                               "there are tetroxalate, tartrate",
		"--buffer tartrate --temp 18C":                                                          "25 to 50 C",
		"--buffer borax":                                                                        "--buffer needs --temp",
		"--buffer borax --temp 18C --pressure 95kPa":                                            "--pressure does not go with --buffer; it belongs to --boiling and --oxygen",
		"--buffer borax --temp 18C --table":                                                     "give --temp for one point or --table for many",
		"--buffer borax --temp 18C --step 5C":                                                   "--step goes with --table",
		"--buffer borax --table --from 90kPa":                                                   "runs along the temperature",
		"--buffer borax --table --from 30C --to 20C":                                            "want the lower one first",
		"--buffer borax --table --to 60C":                                                       "buffer borax: temperature 60 C is outside its range, 0 to 50 C",
		"--buffer tetroxalate --temp 18C --home-mixed":                                          "--home-mixed: buffer tetroxalate is not for mixing at home: potassium tetroxalate is an oxalate and poisonous",
		"--buffer tartrate --temp 28C --home-mixed":                                             "moulds within days",
		"--buffer 7 --temp 18C":                                                                 "write 7.00 for a bottle buffer, or phosphate",
		"--buffer 10.00 --temp 18C":                                                             "a bottle marked 10.00 is often made from borate",
		"--buffer borax --temp 50.0000001C":                                                     "temperature 50.0000001 C is outside its range, 0 to 50 C\n",
		"--buffer borax --temp 18C --u-temp 0.9F":                                               "write 0.5C\n",
		"--buffer borax --temp 18C --time-zone Mars":                                            "is no known zone",
		"--buffer borax --temp 18C --check":                                                     "reference gives no verdict, so --check has nothing to go by; see brinemark reference --help",
		"--saturated NaCl --temp 18C --gradient 6C":                                             "--gradient: \"6C\" is out of range; want a standard uncertainty of the temperature difference from 0 to 5 C",
		"--buffer borax --table --step 0C":                                                      "want more than 0",
		"--buffer borax --table --step 0.001C":                                                  "more than 1000 rows",
		"--saturated K2CO3 --temp 31C":                                                          "0 to 30 C\n", // one degree more is not another scale
		"--saturated sugar --temp 20C":                                                          "there are LiCl, MgCl2, K2CO3, Mg(NO3)2, NaCl, KCl, K2SO4",
		"--ice --temp 18C":                                                                      "--temp does not go with --ice",
		"--ice --table":                                                                         "the ice point is one temperature",
		"--boiling":                                                                             "--boiling needs --pressure",
		"--boiling --pressure 950kPa":                                                           "give it as 950hPa",
		"--boiling --altitude 10000m":                                                           "boiling point: altitude 10000 m is outside its range, -500 to 9000 m",
		"--boiling --altitude 1.5km":                                                            "write 1500m",
		"--boiling --pressure 95kPa --u-pressure 200kPa":                                        `--u-pressure: "200kPa" is out of range; want a standard uncertainty of the pressure from 0 to 20 kPa`,
		"--boiling --pressure 95kPa --u-pressure -1kPa":                                         `"-1kPa" is negative; a standard uncertainty is 0 (exact) or more`,
		"--oxygen --temp 20C --u-temp 25C":                                                      `--u-temp: "25C" is out of range`,
		"--oxygen --temp 18C --altitude 6000m":                                                  "oxygen in air-saturated water: altitude 6000 m is outside its range, -500 to 5477 m",
		"--boiling --altitude 300m --pressure 95kPa":                                            "give the pressure",
		"--boiling --altitude 300m --table":                                                     "for one point or --table",
		"--oxygen --temp 41C":                                                                   "0 to 40 C",
		"--oxygen --temp 18C --u-pressure 1kPa":                                                 "--u-pressure needs --pressure or --altitude",
		"--oxygen --temp 18C --sample-ec 70mS/cm":                                               "0 to 59000 uS/cm",
		"--fresh-air":                            "--fresh-air needs --year",
		"--fresh-air --year 1990":                "2015 to 2035",
		"--fresh-air --year next":                "is not a year",
		"--fresh-air --year 2026 --site balcony": "there are country, suburb, city",
		"--fresh-air --table --from 5C":          "the rows of this table are fixed",
		"--ice file.csv":                         "unexpected argument",
	} {
		r := invoke(append([]string{"reference"}, strings.Fields(line)...)...)
		assert.Equal(t, statusBadInput, r.status, line)
		assert.Empty(t, r.stdout, line)
		assert.Contains(t, r.stderr, want, line)
		assert.Equal(t, 1, strings.Count(r.stderr, "\n"), "%s: one line", line)
	}
}

// What people write in other ways than ours means the same.
func TestReferenceOtherSpellings(t *testing.T) {
	for other, ours := range map[string]string{
		"--buffer borax --temp 18C --u-temp 0.5K":    "--buffer borax --temp 18C --u-temp 0.5C",
		"--buffer borax --temp 18C --u-temp 0.0":     "--buffer borax --temp 18C --u-temp 0",
		"--buffer borax --temp 18C --u-temp 0C":      "--buffer borax --temp 18C --u-temp 0",
		"--buffer borax --temp 18\u00b0C --u-temp 0": "--buffer borax --temp 18C --u-temp 0",
		"--salt NaCl --strength 600mg/L --temp 18C --u-temp 0 --u-strength 0 --water-ec 8uS/cm --u-water-ec 25% --display \u00b5S/cm --alpha 1.9%/C": "--salt NaCl --strength 600mg/L --temp 18C --u-temp 0 --u-strength 0% --water-ec 8uS/cm --u-water-ec 2uS/cm --display uS/cm --alpha 1.9%",
		"--salt NaCl --strength 600mg/L --temp 18C --display \u03bcs/cm --ref-temp 25C --compensation Linear":                                        "--salt NaCl --strength 600mg/L --temp 18C",
		"--salt NaCl --strength 600mg/L --temp 18C --ppm-factor 1.0 --alpha 2%/K":                                                                    "--salt NaCl --strength 600mg/L --temp 18C --ppm-factor 1 --display ppm",
		"--boiling --altitude 0m --u-pressure 3kPa":                                                                                                  "--boiling --pressure 101.325kPa --u-pressure 3kPa",
	} {
		assert.Equal(t, referenceJSON(t, ours), referenceJSON(t, other), other)
	}
}

// The oxygen of a place whose pressure nobody gave: the flags that would help
// are named, and the size is what weather makes. A pressure that was stated is
// not called weather.
func TestReferenceNamesWhoSaidThePressure(t *testing.T) {
	assumed := invoke("reference", "--oxygen", "--temp", "18C", "--u-temp", "0")
	assert.Contains(t, assumed.stderr, "(--pressure and --u-pressure)")
	assert.Contains(t, assumed.stderr, "if it were 3 kPa, as weather makes it")
	byWeather := invoke("reference", "--boiling", "--altitude", "1500m")
	assert.Contains(t, byWeather.stdout, "weather at that altitude")
	stated := invoke("reference", "--boiling", "--altitude", "1500m", "--u-pressure", "0.3kPa")
	assert.NotContains(t, stated.stdout, "weather at that altitude")
}

// Two errors at once: it is always the first that is named.
func TestReferenceNamesTheFirstError(t *testing.T) {
	for range 20 {
		r := invoke("reference", "--buffer", "borax", "--table", "--step", "1kPa", "--to", "1kPa", "--from", "1kPa")
		require.Contains(t, r.stderr, "--from 1kPa")
	}
}

// Flags stand in any order and a switch set to false is not asked for.
func TestReferenceFlagsInAnyOrder(t *testing.T) {
	a := invoke("--json", "reference", "--buffer", "borax", "--temp", "18C")
	b := invoke("reference", "--temp=18C", "--buffer=BORAX", "--ice=false", "--json")
	assert.Equal(t, statusDone, b.status, b.stderr)
	assert.Equal(t, a.stdout, b.stdout)
}

// Whatever is typed, the answer is a result with finite numbers or one line on
// stderr and status 2.
func FuzzReference(f *testing.F) {
	for _, seed := range []struct{ kind, name, strength, temp, extra string }{
		{"--salt", "NaCl", "600mg/L", "18C", "1%"},
		{"--salt", "KCl", "600ppm@0.5", "49.99999C", "0"},
		{"--buffer", "tartrate", "1e300mg/L", "25C", "-1C"},
		{"--saturated", "Mg(NO3)2", "0", "0C", "1e308C"},
		{"--oxygen", "", "", "40C", "0.5C"},
		{"--fresh-air", "2026", "", "", ""},
	} {
		f.Add(seed.kind, seed.name, seed.strength, seed.temp, seed.extra)
	}
	f.Fuzz(func(t *testing.T, kind, name, strength, temp, extra string) {
		args := []string{"reference", "--json"}
		switch kind {
		case "--salt":
			args = append(args, kind, name, "--strength", strength, "--temp", temp, "--u-strength", extra)
		case "--buffer", "--saturated":
			args = append(args, kind, name, "--temp", temp, "--u-temp", extra)
		case "--oxygen":
			args = append(args, kind, "--temp", temp, "--u-temp", extra)
		case "--fresh-air":
			args = append(args, kind, "--year", name)
		default:
			args = append(args, "--boiling", "--pressure", temp, "--u-pressure", extra)
		}
		for _, a := range args {
			if a == "--help" || a == "-h" || a == "-help" || strings.HasPrefix(a, "--logbook") || strings.HasPrefix(a, "--version") {
				return
			}
		}
		r := invoke(args...)
		switch r.status {
		case statusDone:
			var out map[string]any
			require.NoError(t, json.Unmarshal([]byte(r.stdout), &out), "%q", args)
			assert.NotNil(t, out["value"], "%q", args)
			if out["u_value"] == nil {
				assert.NotEmpty(t, out["left_out"], "%q: unknown, and it says why", args)
			} else {
				assert.GreaterOrEqual(t, out["u_value"], 0.0, "%q", args)
			}
		case statusBadInput:
			assert.Empty(t, r.stdout, "%q", args)
			assert.NotEmpty(t, r.stderr, "%q", args)
		default:
			t.Errorf("%q: status %d: %s", args, r.status, r.stderr)
		}
	})
}
