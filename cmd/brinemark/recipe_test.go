package main

import (
	"encoding/json"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	kitchenScale = " --scale-step 0.01g --u-scale 0.01g --scale-max 200g"
	kitchenSalt  = " --grade food --purity 99.5% --u-purity 0.3%"
	kitchenWater = " --water-ec 8uS/cm --u-water-ec 1uS/cm"
)

// Recipes as people see them.
func TestRecipeGolden(t *testing.T) {
	for name, line := range map[string]string{
		"three-bottles": "recipe --salt NaCl --target 300mg/L --target 600mg/L --target 900mg/L --batch 500mL" + kitchenSalt + kitchenScale + " --water-ec 8uS/cm",
		"direct":        "recipe --salt KCl --target 12.88mS/cm --batch 500g --grade reagent --water-ec 1uS/cm --u-water-ec 0.2uS/cm" + kitchenScale,
		"serial":        "recipe --salt NaCl --target 84uS/cm --target 1413uS/cm --batch 500mL --purity 99.9% --u-purity 0.05% --max-u 0.5% --bottle 250mL --bottle 500mL --water-ec 1uS/cm --u-water-ec 0.1uS/cm" + kitchenScale,
		"not-met":       "recipe --salt NaCl --target 600ppm@0.5 --batch 500mL --grade food" + kitchenWater,
		"jug":           "recipe --salt NaCl --target 600mg/L --batch 1L --route direct --jug 500mL --temp 18C" + kitchenSalt + kitchenScale + kitchenWater,
		"made":          "recipe made --salt NaCl --stock-salt-mass 5.02g --stock-water-mass 145.1g --stock-mass 4.53g --water-mass 160g --water-mass 160g --water-mass 175.1g" + kitchenSalt + kitchenWater,
		"made-later":    "recipe made --salt KCl --grade reagent --salt-mass 3.73g --water-mass 499.2g --made-mass 555.8g --now-mass 550.7g --empty-mass 52.8g --u-bottle-mass 0.5g --water-ec 1uS/cm --u-water-ec 0.2uS/cm --scale-step 0.01g --u-scale 0.01g",
	} {
		args := strings.Fields(line)
		r := invoke(args...)
		assert.Equal(t, statusDone, r.status, "%s: %s", name, r.stderr)
		golden(t, "recipe/"+name+".txt", screen(args, r))
	}
}

func TestRecipeJSONGolden(t *testing.T) {
	for name, line := range map[string]string{
		"three-bottles": "recipe --json --salt NaCl --target 300mg/L --target 600mg/L --target 900mg/L --batch 500mL" + kitchenSalt + kitchenScale + " --water-ec 8uS/cm",
		"made-later":    "recipe made --salt KCl --grade reagent --salt-mass 3.73g --water-mass 499.2g --made-mass 555.8g --now-mass 550.7g --empty-mass 52.8g --u-bottle-mass 0.5g --json",
	} {
		r := invoke(strings.Fields(line)...)
		assert.Equal(t, statusDone, r.status, name)
		assert.Empty(t, r.stderr, "with --json everything is in the object")
		golden(t, "recipe/"+name+".json", r.stdout)
	}
}

// recipeResult holds the keys that scripts may rely on.
type recipeResult struct {
	Salt    string `json:"salt"`
	Batches []struct {
		Target   string   `json:"target"`
		Route    string   `json:"route"`
		SaltMgL  *float64 `json:"salt_mg_L"`
		Molality *float64 `json:"molality_mol_kg"`
		SaltG    *float64 `json:"salt_g"`
		WaterG   *float64 `json:"water_g"`
		StockG   *float64 `json:"stock_g"`
		EC25     *float64 `json:"ec25_uS_cm"`
		UEC25    *float64 `json:"u_ec25_uS_cm"`
		Budget   []struct {
			Source string   `json:"source"`
			URel   *float64 `json:"u_rel"`
			Share  float64  `json:"share"`
		} `json:"budget"`
		SaltPortions  int      `json:"salt_portions"`
		StockPortions int      `json:"stock_portions"`
		WaterPortions int      `json:"water_portions"`
		StockMgG      *float64 `json:"stock_mg_g"`
		MadeCommand   string   `json:"made_command"`
		Direct        struct {
			URel float64 `json:"u_rel"`
		} `json:"direct"`
	} `json:"batches"`
	Stock       *recipeStock `json:"stock"`
	SecondStock *recipeStock `json:"second_stock"`
	Steps       []string     `json:"steps"`
	Warnings    []string     `json:"warnings"`
}

type recipeStock struct {
	SaltG         *float64 `json:"salt_g"`
	WaterG        *float64 `json:"water_g"`
	SaltMgG       *float64 `json:"salt_mg_g"`
	SaltPortions  int      `json:"salt_portions"`
	StockPortions int      `json:"stock_portions"`
	WaterPortions int      `json:"water_portions"`
}

func recipeJSON(t *testing.T, line string) recipeResult {
	t.Helper()
	r := invoke(append([]string{"recipe", "--json"}, strings.Fields(line)...)...)
	require.Equal(t, statusDone, r.status, "%s: %s", line, r.stderr)
	var out recipeResult
	decoder := json.NewDecoder(strings.NewReader(r.stdout))
	require.NoError(t, decoder.Decode(&out), line)
	assert.False(t, decoder.More(), "one object")
	require.NotNil(t, out.Warnings, "an empty list, never null")
	return out
}

// The project's own promise: a pocket scale, salt of 99.5 % and water of
// 8 uS/cm give three bottles good to 1 %; weighed directly, several percent.
func TestRecipeThreeBottles(t *testing.T) {
	r := recipeJSON(t, "--salt NaCl --target 300mg/L --target 600mg/L --target 900mg/L --batch 500mL"+kitchenSalt+" --scale-step 0.01g --scale-max 200g --water-ec 8uS/cm")
	require.Len(t, r.Batches, 3)
	for i, b := range r.Batches {
		assert.Equal(t, "stock", b.Route)
		assert.Nil(t, b.SaltG)
		assert.InDelta(t, []float64{300, 600, 900}[i], *b.SaltMgL, 1e-6)
		assert.LessOrEqual(t, *b.UEC25 / *b.EC25, 0.01)
		shares, squares := 0.0, 0.0
		for _, line := range b.Budget {
			shares += line.Share
			squares += *line.URel * *line.URel
		}
		assert.InDelta(t, 1, shares, 1e-9)
		assert.InEpsilon(t, *b.UEC25 / *b.EC25 * *b.UEC25 / *b.EC25, squares, 1e-9)
		assert.Greater(t, b.Direct.URel, 0.02)
		assert.Greater(t, *b.StockG, 0.0)
	}
	require.NotNil(t, r.Stock)
	// What the stock holds times what is taken of it is the salt in 500 mL.
	for i, b := range r.Batches {
		assert.InEpsilon(t, []float64{150, 300, 450}[i], *b.StockG**r.Stock.SaltMgG*1.00105, 1e-3)
	}
	assert.Contains(t, strings.Join(r.Warnings, " "), "very pen in doubt")
}

// The direct route by hand: 3 g/L in 500 mL is 1.5 g of pure salt.
func TestRecipeDirect(t *testing.T) {
	r := recipeJSON(t, "--salt NaCl --target 3000mg/L --batch 500mL --route direct"+kitchenSalt+kitchenScale+kitchenWater)
	b := r.Batches[0]
	assert.Nil(t, r.Stock)
	assert.Nil(t, b.StockG)
	assert.InEpsilon(t, 1.5/0.995/1.000403, *b.SaltG, 1e-5) // buoyancy by OIML D 28
	assert.Equal(t, "salt mass", b.Budget[0].Source)
	// 200 g less a container of 40 g leaves 160 g for a portion.
	assert.Equal(t, 4, b.WaterPortions)
	assert.Greater(t, *b.WaterG, 3*160.0)
	// The reference command, a route of its own to the same solution, agrees.
	reference := referenceJSON(t, "--salt NaCl --strength 3000mg/L --temp 25C --water-ec 8uS/cm")
	assert.InEpsilon(t, reference["value"], *b.EC25, 1e-9)
}

// The command of every bottle, and the one that the steps end with, can be
// copied as it is: it carries what was said of salt, scale and water, and gives
// the bottle that was planned to within the rounding of its masses.
func TestRecipeNamesCommandsThatWorkAsTheyAre(t *testing.T) {
	for _, line := range []string{
		"--salt NaCl --target 600mg/L --batch 500mL",
		"--salt NaCl --target 3000mg/L --batch 500mL --route direct",
		"--salt NaCl --target 84uS/cm --target 1413uS/cm --batch 500mL --max-u 0.5% --route stock",
		"--salt NaCl --target 3000mg/L --batch 500mL --route direct --jug 500mL --u-volume 2mL --u-marks 0.5%",
	} {
		line += " --grade iodised --purity 99.9% --u-purity 0.05% --moisture 0.1% --u-moisture 0.02% --water-ec 1uS/cm --u-water-ec 0.1uS/cm --scale-step 0.01g --u-scale 0.01g --scale-max 200g --container 30g --u-gain 0.2% --temp 19C"
		r := recipeJSON(t, line)
		shown := regexp.MustCompile(`brinemark recipe made .*`).FindString(strings.Join(r.Steps, "\n"))
		var commands []string
		for _, b := range r.Batches {
			commands = append(commands, b.MadeCommand)
			made := invoke(append(shellWords(t, b.MadeCommand), "--json")[1:]...)
			require.Equal(t, statusDone, made.status, made.stderr)
			var out struct {
				EC25  float64 `json:"ec25_uS_cm"`
				UEC25 float64 `json:"u_ec25_uS_cm"`
			}
			require.NoError(t, json.Unmarshal([]byte(made.stdout), &out))
			assert.InDelta(t, *b.EC25, out.EC25, *b.UEC25, line)
			assert.InEpsilon(t, *b.UEC25, out.UEC25, 0.02, line)
		}
		assert.Contains(t, commands, shown)
		// The table breaks it as a shell lets it.
		table := invoke(append([]string{"recipe"}, strings.Fields(line)...)...)
		assert.Contains(t, strings.Join(strings.Fields(strings.ReplaceAll(table.stdout, "\\\n", " ")), " "), shown)
	}
}

// A flag's text that a shell would not leave alone is quoted.
func TestWordsForAShell(t *testing.T) {
	for word, want := range map[string]string{"0.3%": "0.3%", "600ppm@0.5": "600ppm@0.5", "0.3 %": "'0.3 %'", "8µS/cm": "8µS/cm", "a'b": `'a'\''b'`, "$x": "'$x'"} {
		assert.Equal(t, want, shellWord(word))
	}
}

// Whether the uncertainty asked for is met is true, false, or null where a
// source was left out; --check goes by it.
func TestRecipeSaysWhetherItIsMet(t *testing.T) {
	const base = "--salt NaCl --batch 500mL --target 3000mg/L --scale-step 0.01g --u-scale 0.01g --scale-max 200g "
	for _, c := range []struct {
		line, verdict, met, headline string
		status                       int
	}{
		{base + "--purity 99.9% --u-purity 0.1% --water-ec 1uS/cm --u-water-ec 0.1uS/cm --temp 20C", "pass", "true", "asked for 1.0 % (default): met", statusDone},
		{base + "--purity 99.9% --u-purity 0.1% --water-ec 1uS/cm", "undecided", "null", "met, leaving out what nobody stated: water's own conductivity", statusNotPassing},
		{base + "--purity 99.9% --u-purity 0.1% --max-u 0.05%", "fail", "false", "asked for 0.050 %: NOT met", statusNotPassing},
	} {
		r := invoke(append(strings.Fields("recipe --json --check "+c.line), "--route=auto")...)
		assert.Equal(t, c.status, r.status, c.line)
		var out struct {
			Verdict string          `json:"verdict"`
			Met     json.RawMessage `json:"max_u_met"`
			LeftOut []string        `json:"left_out"`
		}
		require.NoError(t, json.Unmarshal([]byte(r.stdout), &out))
		assert.Equal(t, c.verdict, out.Verdict)
		assert.Equal(t, c.met, string(out.Met))
		assert.Equal(t, c.verdict == "undecided", c.verdict != "fail" && len(out.LeftOut) > 0)
		assert.Contains(t, strings.Join(strings.Fields(invoke(strings.Fields("recipe "+c.line)...).stdout), " "), c.headline)
	}
	r := invoke(strings.Fields("recipe made --check --salt NaCl --salt-mass 1g --water-mass 500g")...)
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "gives no verdict")
}

// An uncertainty a hair above the one asked for is printed so that one sees it.
func TestRecipeTellsNearlyEqualFiguresApart(t *testing.T) {
	base := "recipe --salt NaCl --batch 500mL --target 3000mg/L --route direct --json" + kitchenSalt + kitchenScale + kitchenWater
	var out struct {
		Worst float64 `json:"worst_u_rel"`
	}
	require.NoError(t, json.Unmarshal([]byte(invoke(strings.Fields(base)...).stdout), &out))
	asked := strconv.FormatFloat(100*out.Worst-1e-4, 'f', 5, 64) + "%"
	r := invoke(append(strings.Fields(strings.Replace(base, " --json", "", 1)), "--max-u", asked)...)
	headline, _, _ := strings.Cut(r.stdout, "\n\n")
	assert.Contains(t, headline, "NOT")
	figures := regexp.MustCompile(`worst ([0-9.]+) %, asked for ([0-9.]+) %`).FindStringSubmatch(strings.ReplaceAll(headline, "\n", " "))
	require.Len(t, figures, 3)
	assert.NotEqual(t, figures[1], figures[2])
}

// Every batch names the strength of the stock it is taken from, the first or
// the second, and the portions of whatever is weighed.
func TestRecipeSerialDilutionJSON(t *testing.T) {
	r := recipeJSON(t, "--salt NaCl --target 84uS/cm --target 1413uS/cm --batch 500mL --purity 99.9% --u-purity 0.05% --max-u 0.5% --water-ec 1uS/cm --u-water-ec 0.1uS/cm"+kitchenScale)
	require.NotNil(t, r.SecondStock)
	assert.InEpsilon(t, *r.SecondStock.SaltMgG, *r.Batches[0].StockMgG, 1e-12)
	assert.InEpsilon(t, *r.Stock.SaltMgG, *r.Batches[1].StockMgG, 1e-12)
	assert.Equal(t, []int{1, 0, 1}, []int{r.Stock.SaltPortions, r.Stock.StockPortions, r.Stock.WaterPortions})
	assert.Equal(t, []int{0, 1, 1}, []int{r.SecondStock.SaltPortions, r.SecondStock.StockPortions, r.SecondStock.WaterPortions})
	for _, b := range r.Batches {
		assert.Equal(t, []int{0, 1, 3}, []int{b.SaltPortions, b.StockPortions, b.WaterPortions})
		// What is taken holds the salt of the bottle: by hand, mg/g times g.
		assert.InEpsilon(t, *b.SaltMgL/2, *b.StockG**b.StockMgG*1.00105, 1e-3)
	}
	assert.Nil(t, recipeJSON(t, "--salt NaCl --target 3000mg/L --batch 500mL --route direct").Batches[0].StockMgG)
}

// A jug's figure is that of one filling, in mL, each with an error of its own.
func TestRecipeMadeWithAJug(t *testing.T) {
	u := func(line string) float64 {
		r := invoke(strings.Fields("recipe made --json --salt NaCl --salt-mass 20g --purity 100% --u-purity 0 --moisture 0% --u-moisture 0 --water-ec 0uS/cm --u-water-ec 0 --temp 20C --u-temp 0 --u-scale 0 --u-gain 0 " + line)...)
		require.Equal(t, statusDone, r.status, r.stderr)
		var out struct {
			U float64 `json:"u_molality_mol_kg"`
			M float64 `json:"molality_mol_kg"`
		}
		require.NoError(t, json.Unmarshal([]byte(r.stdout), &out))
		return out.U / out.M
	}
	assert.InEpsilon(t, 5.0/500, u("--jug 500mL --u-volume 5mL --water-volume 500mL"), 1e-3)
	assert.InEpsilon(t, 5*math.Sqrt2/1000, u("--jug 500mL --u-volume 5mL --water-volume 500mL --water-volume 500mL"), 1e-3)
	assert.InEpsilon(t, 5.0/400, u("--jug 500mL --u-volume 5mL --water-volume 400mL"), 1e-3)
	assert.InEpsilon(t, 0.01, u("--jug 500mL --u-volume 0 --u-marks 1% --water-volume 500mL --water-volume 500mL"), 1e-3)
}

func TestRecipeFlagsThatAreNotGivenAreNoted(t *testing.T) {
	r := invoke(strings.Fields("recipe --salt NaCl --target 600mg/L --batch 500mL")...)
	require.Equal(t, statusDone, r.status)
	assert.Contains(t, r.stderr, "note: --scale-step, --u-scale, --scale-max, --container not given")
	assert.Contains(t, r.stderr, "warning: neither grade nor purity")
	assert.Contains(t, r.stderr, "warning: the water's own conductivity was not given")
}

// Bad input: one line on stderr that says what would be right, nothing on
// stdout, status 2.
func TestRecipeRefuses(t *testing.T) {
	const base = "recipe --salt NaCl --target 600mg/L --batch 500mL "
	for line, want := range map[string]string{
		"recipe":                                                             "--salt is missing",
		"recipe --salt NaCl --batch 500mL":                                   "--target is missing",
		"recipe --salt NaCl --target 600mg/L":                                "--batch is missing",
		"recipe --salt MgSO4 --target 600mg/L --batch 500mL":                 "want NaCl or KCl",
		"recipe --salt sea --target 600mg/L --batch 500mL":                   "magnesium, calcium and sulfate",
		"recipe --salt NaCl --target 600ppm --batch 500mL":                   "600ppm@0.5",
		"recipe --salt NaCl --target 7mol/kg --batch 500mL":                  "a saturated solution has",
		"recipe --salt KCl --target 5mol/L --batch 500mL":                    "a saturated solution has",
		"recipe --salt NaCl --target 2mol/kg --batch 500mL":                  "0.00005 to 1.1 mol/kg",
		"recipe --salt NaCl --target NaNmg/L --batch 500mL":                  "does not begin with a number",
		"recipe --salt NaCl --target Infmg/L --batch 500mL":                  "does not begin with a number",
		"recipe --salt NaCl --target 5uS/cm --batch 500mL --water-ec 8uS/cm": "the water's own 8 uS/cm",
		"recipe --salt NaCl --target 600mg/L --batch 0mL":                    "batch 0 mL",
		"recipe --salt NaCl --target 600mg/L --batch=-1L":                    "a volume is not negative",
		"recipe --salt NaCl --target 600mg/L --batch 500uS/cm":               "want a volume such as 500mL",
		base + "--grade sea":                                                 "sea salt cannot be a reference",
		base + "--grade curing":                                              "nitrite",
		base + "--grade low-sodium":                                          "potassium chloride",
		base + "--grade foot":                                                "nearest right word is food",
		base + "--purity 120%":                                               "50 to 100 %",
		base + "--purity 0%":                                                 "50 to 100 %",
		base + "--purity=-3%":                                                "not negative",
		base + "--u-purity 1%":                                               "without the purity",
		base + "--scale-step 0g":                                             "--scale-step: \"0g\" is out of range; want a step from 0.00001 to 100 g",
		base + "--scale-max 1g":                                              "more than 50",
		base + "--scale-max 50g --container 60g":                             "leaves no room",
		base + "--max-u 0%":                                                  "0.01 to 50 %",
		base + "--max-u 5g":                                                  "want a fraction",
		base + "--route magic":                                               "want auto, direct, stock",
		base + "--bottle 100mL":                                              "does not fit",
		base + "--temp 68C":                                                  "Fahrenheit",
		base + "--u-volume 5mL":                                              "--u-volume and --u-marks need --jug",
		base + "--jug 0mL":                                                   "1 to 1000000 mL",
		base + "--salt KCl":                                                  "given twice",
		base + "extra":                                                       "unknown recipe command",
		"recipe made --salt-mass 1g --water-mass 500g":                       "needs --salt",
		"recipe made --salt NaCl --salt-mass=-1g --water-mass 500g":          "a mass is not negative",
		"recipe made --salt NaCl --water-mass 500g":                          "no salt was given",
		"recipe made --salt NaCl --salt-mass 1g":                             "no water was given",
		"recipe made --salt NaCl --salt-mass 1g --water-volume 500mL":        "without the jug",
		"recipe made --salt NaCl --stock-mass 1g --water-mass 500g":          "without the salt and water",
		"recipe made --salt NaCl --second-stock-mass 1g --second-water-mass 9g --water-mass 5g":     "need the first stock",
		"recipe made --salt NaCl --salt-mass 50g --water-mass 450g":                                 "conductivity of NaCl",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g --now-mass 550g":                  "both --made-mass and --now-mass",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g --made-mass 540g --now-mass 550g": "heavier by 10",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g --scale-max 200g":                 "500 g in one weighing is above the capacity",
		base + "--u-purity 1e300% --purity 99%":                                                     "--u-purity",
		base + "--water-ec 8uS/cm --u-water-ec 1e308uS/cm":                                          "--u-water-ec",
		base + "--u-scale 1e300g":                                                                                          "--u-scale",
		base + "--linearity 1e300g":                                                                                        "--linearity",
		base + "--jug 500mL --u-volume 1e300mL":                                                                            "--u-volume",
		base + "--jug 500mL --u-marks 50%":                                                                                 "--u-marks",
		base + "--moisture 1% --u-moisture 30%":                                                                            "--u-moisture",
		"recipe --salt table --target 600mg/L --batch 500mL":                                                               "say --salt NaCl --grade food",
		"recipe --salt himalayan --target 600mg/L --batch 500mL":                                                           "magnesium, calcium and sulfate",
		"recipe --salt lowsalt --target 600mg/L --batch 500mL":                                                             "potassium chloride",
		"recipe --salt NaCl --target 9uS/cm --batch 500mL --water-ec 8uS/cm":                                               "leave 1 uS/cm for the salt beside the water's own 8 uS/cm",
		"recipe --salt NaCl --target 5mg/L --batch 500mL --route direct":                                                   "want --route stock or auto",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 1e308g --water-mass 1e308g":                                   "--water-mass: all together",
		"recipe made --salt NaCl --salt-mass 1e200g --water-mass 500g":                                                     "--salt-mass: all together",
		"recipe made --salt NaCl --salt-mass 1g --water-volume 600mL --jug 500mL":                                          "above the size of the jug, 500 mL",
		"recipe made --salt NaCl --stock-salt-mass 200g --stock-water-mass 300g --stock-mass 1g --water-mass 500g":         "above its solubility",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g --made-mass 300g --now-mass 299g":                        "the full bottle weighed 300 g when made, less than the 501.5 g weighed into it",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g --made-mass 950g --now-mass 949g --empty-mass 50g":       "501.5 g were weighed in, but full less empty is 900.9 g",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g --made-mass 550g --now-mass 549g --u-bottle-mass 1e300g": "--u-bottle-mass",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g left over":                                               "unexpected argument",
	} {
		r := invoke(strings.Fields(line)...)
		assert.Equal(t, statusBadInput, r.status, line)
		assert.Empty(t, r.stdout, line)
		assert.Contains(t, r.stderr, want, line)
		assert.Equal(t, 1, strings.Count(strings.TrimSpace(r.stderr), "\n")+1, line)
	}
}

func TestBinaryRecipe(t *testing.T) {
	out, errText, status := brinemark(t, strings.Fields("recipe --json --salt KCl --target 1413uS/cm --batch 500mL")...)
	assert.Equal(t, 0, status)
	assert.Empty(t, errText)
	var r recipeResult
	require.NoError(t, json.Unmarshal([]byte(out), &r))
	assert.Equal(t, "KCl", r.Salt)
	assert.InDelta(t, 1413, *r.Batches[0].EC25, 1e-6)
	_, errText, status = brinemark(t, strings.Fields("recipe made --salt NaCl --salt-mass 1g")...)
	assert.Equal(t, 2, status)
	assert.Contains(t, errText, "no water was given")
}
