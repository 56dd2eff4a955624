package units

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseReadsWhatMakersWrite(t *testing.T) {
	for _, c := range []struct {
		text string
		want Dimension
		q    Quantity
		echo string
	}{
		{"250g", Mass, Quantity{250, Gram}, "250 g"},
		{"250", Mass, Quantity{250, Gram}, "250 g"},
		{"1,5 kg", Mass, Quantity{1.5, Kilogram}, "1.5 kg"},
		{" 1.50 KG ", Mass, Quantity{1.5, Kilogram}, "1.5 kg"},
		{"1½ kilos", Mass, Quantity{1.5, Kilogram}, "1.5 kg"},
		{"8 oz", Mass, Quantity{8, Ounce}, "8 oz"},
		{"8 oz.", Mass, Quantity{8, Ounce}, "8 oz"},
		{"1/3 ounce", Mass, Quantity{1.0 / 3, Ounce}, "0.3333333333333333 oz"},
		{"2 lbs", Mass, Quantity{2, Pound}, "2 lb"},
		{"30\u00a0ml", Volume, Quantity{30, Millilitre}, "30 ml"},
		{"1 litre", Volume, Quantity{1, Litre}, "1 l"},
		{"8 US fl. oz.", Volume, Quantity{8, USFluidOunce}, "8 US fl oz"},
		{"8 imp fl oz", Volume, Quantity{8, ImperialFluidOunce}, "8 imp fl oz"},
		{"1/4 chip", Count, Quantity{0.25, Chip}, "1/4 chip"},
		{"½ chip", Count, Quantity{0.5, Chip}, "1/2 chip"},
		{"1 1/2 chips", Count, Quantity{1.5, Chip}, "1 1/2 chips"},
		{"1-1/2 chips", Count, Quantity{1.5, Chip}, "1 1/2 chips"},
		{"1½chips", Count, Quantity{1.5, Chip}, "1 1/2 chips"},
		{"1 1⁄2 chips", Count, Quantity{1.5, Chip}, "1 1/2 chips"},
		{"2 / 3 chip", Count, Quantity{2.0 / 3, Chip}, "2/3 chip"},
		{"1.2 chips", Count, Quantity{1.2, Chip}, "1.2 chips"},
		{"1 chip", Count, Quantity{1, Chip}, "1 chip"},
		{"0 drops", Count, Quantity{0, Drop}, "0 drops"},
		{"12 Drops", Count, Quantity{12, Drop}, "12 drops"},
		{"3.5 scoops", Count, Quantity{3.5, Scoop}, "3 1/2 scoops"},
		{"7,5%", Share, Quantity{7.5, Percent}, "7.5 %"},
		{"5", Share, Quantity{5, Percent}, "5 %"},
		{"8 per cent", Share, Quantity{8, Percent}, "8 %"},
	} {
		q, err := Parse(c.text, c.want)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.q, q, c.text)
		assert.Equal(t, c.echo, q.String(), c.text)
	}
}

// Every refusal says what is wrong and ends in what to write.
func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		text string
		want Dimension
		says string
	}{
		{"", Mass, `"" has no number in front; write an amount like "250 g"`},
		{"kg", Mass, "has no number in front"},
		{"some wax", Count, `write an amount like "1 1/2 chips"`},
		{"NaN g", Mass, "has no number in front"},
		{"Inf", Mass, "has no number in front"},
		{"-5 g", Mass, `"-5 g" is negative`},
		{"−1/2 chip", Count, "is negative"},
		{"5 stone", Mass, `"stone" is not a unit for a mass; write g, kg, oz or lb`},
		{"1e3 g", Mass, `"e3 g" is not a unit for a mass`},
		{"100 ml", Mass, "ml is a unit of volume where a mass is wanted; write g, kg, oz or lb"},
		{"8 oz", Volume, "oz is a unit of mass where a volume is wanted; write ml, l, US fl oz or imp fl oz"},
		{"8 fl oz", Volume, "write US fl oz or imp fl oz"},
		{"8 fluid ounces", Mass, "write US fl oz or imp fl oz"},
		{"1,500 g", Mass, `"1,500" can be read two ways; write 1.500 or 1500`},
		{"1.2.3 g", Mass, `"1.2.3" is not a number; write one like 0.5`},
		{"1 000 g", Mass, `"1 000" is not a number`},
		{"9999999999 g", Mass, "too large"},
		{"3", Count, "does not say what it counts; write chips, drops or scoops after it"},
		{"1/0 chips", Count, `"1/0" is not a fraction; write one like 1/4 or 1 1/2`},
		{"1/65 chips", Count, "is not a fraction"},
		{"1 3/2 chips", Count, "is not a fraction"},
		{"1 2 3/4 chips", Count, "is not a fraction"},
		{"/ chips", Count, "is not a fraction"},
		{"1.5/2 chips", Count, "is not a fraction"},
		{"1/2/3 chips", Count, "is not a fraction"},
		{"2 1/2 drops", Count, "write whole drops, or weigh them"},
		{"5 g", Share, "g is a unit of mass where a share is wanted; write %"},
	} {
		q, err := Parse(c.text, c.want)
		require.ErrorContains(t, err, c.says, c.text)
		assert.Contains(t, err.Error(), "; ", "the error ends in what to do")
		assert.Zero(t, q)
	}
}

func TestLongTextIsQuotedShort(t *testing.T) {
	for _, text := range []string{strings.Repeat("x", 1e5), "1 " + strings.Repeat("x", 1e5), "1/" + strings.Repeat("9", 1e5)} {
		_, err := Parse(text, Mass)
		require.Error(t, err)
		assert.Less(t, len(err.Error()), 200)
	}
}

// NIST Handbook 44 (appendix C) defines the US ounces through the inch and the
// pound: 2.54 cm and 453.59237 g exactly, 231 cubic inches to the gallon of 128
// fluid ounces, 16 ounces to the pound. The Weights and Measures Act 1985
// (schedule 1) gives the imperial gallon of 160 fluid ounces as 4.54609 l.
// Values from memory.
func TestUnitsAreThePublishedOnes(t *testing.T) {
	assert.InDelta(t, 453.59237/16, Quantity{1, Ounce}.Grams(), 1e-12)
	assert.InDelta(t, 453.59237, Quantity{16, Ounce}.In(Pound).Grams(), 1e-12)
	assert.InDelta(t, 231*2.54*2.54*2.54/128, Quantity{1, USFluidOunce}.Millilitres(), 1e-12)
	assert.InDelta(t, 4546.09/160, Quantity{1, ImperialFluidOunce}.Millilitres(), 1e-12)
	assert.Equal(t, 1500.0, Quantity{1.5, Kilogram}.Grams())
	assert.Equal(t, 250.0, Quantity{0.25, Litre}.Millilitres())
	// SP 811, appendix B.8, rounds the ounce to 2.834952 E-02 kg and the US
	// fluid ounce to 2.957353 E+01 ml.
	assert.InDelta(t, 28.34952, Quantity{1, Ounce}.Grams(), 5e-6)
	assert.InDelta(t, 29.57353, Quantity{1, USFluidOunce}.Millilitres(), 5e-6)
}

func TestMisuseOfUnitsPanics(t *testing.T) {
	for name, f := range map[string]func(){
		"a volume in grams":   func() { Quantity{1, Millilitre}.Grams() },
		"chips in drops":      func() { Quantity{1, Chip}.In(Drop) },
		"a unit of no one":    func() { _ = Quantity{1, "stone"}.String() },
		"a dimension of none": func() { _, _ = Parse("1", "length") },
	} {
		assert.Panics(t, f, name)
	}
}

// What is there and back again is the same to the last bit but one.
func TestConversionRoundTrips(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 1))
	for range 1000 {
		q := Quantity{random.Float64() * 1e4, Ounce}
		assert.InEpsilon(t, q.Value, q.In(Kilogram).In(Ounce).Value, 4e-16)
		v := Quantity{random.Float64() * 1e4, USFluidOunce}
		assert.InEpsilon(t, v.Value, v.In(ImperialFluidOunce).In(USFluidOunce).Value, 4e-16)
	}
}

// FuzzParse: no text makes Parse panic, and every quantity it reads is finite,
// not negative, of the dimension wanted, and written so that it is read back
// unchanged.
func FuzzParse(f *testing.F) {
	for _, text := range []string{
		"1,5 kg", "250g", "8 oz", "1 1/2 chips", "½ chip", "99999 63/64 chips", "0.33333333333333333333 chips",
		"12 drops", "15%", "8 US fl oz", "8 fl oz", "-1", "1/0", "1e9", ".5", "5.", "1--1/2 g", "1 / / 2", "⁄", "\xff1 g", "K",
		"0.00000000000000000001 g", "999999999.99999999999999999999 oz", "4/9 chip", "0,500 kg", "99999 1/61 scoops",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, want := range []Dimension{Mass, Volume, Count, Share} {
			q, err := Parse(text, want)
			if err != nil {
				require.Zero(t, q)
				continue
			}
			require.False(t, math.IsInf(q.Value, 0) || math.IsNaN(q.Value) || math.Signbit(q.Value), text)
			require.Equal(t, want, q.Unit.Dimension())
			again, err := Parse(q.String(), want)
			require.NoError(t, err, "%q was read as %q", text, q)
			require.Equal(t, q, again)
		}
	})
}
