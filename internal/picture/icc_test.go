package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/picture/iccprofile"
	"setshade/internal/picture/picturetest"
	"setshade/internal/spectrum"
)

// labOf reads one colour as a file of that colour space is read.
func labOf(s *ColourSpace, code color.NRGBA) spectrum.Lab {
	img := image.NewNRGBA(image.Rect(0, 0, 4, 4))
	for i := range 16 {
		img.SetNRGBA(i%4, i/4, code)
	}
	p := FromImage(img, s)
	return spectrum.LabOfLinear(float64(p.Light[Red][5]), float64(p.Light[Green][5]), float64(p.Light[Blue][5]))
}

// The primaries of Display P3 lie outside sRGB and come out as they are: their
// Lab under D65 follows from the published matrix, and so does that of their
// mixtures. Profile, code points and primaries say the same.
func TestDisplayP3ReadsTruePrimaries(t *testing.T) {
	byProfile, err := profileSpace(picturetest.DisplayP3)
	require.NoError(t, err)
	for name, space := range map[string]*ColourSpace{"profile": byProfile, "primaries": DisplayP3} {
		for mix := 1; mix < 8; mix++ {
			var code [Channels]uint8
			var xyz spectrum.XYZ
			for c := range Channels {
				if mix>>c&1 == 1 {
					code[c] = 255
					xyz = spectrum.XYZ{X: xyz.X + picturetest.DisplayP3XYZ[c].X, Y: xyz.Y + picturetest.DisplayP3XYZ[c].Y, Z: xyz.Z + picturetest.DisplayP3XYZ[c].Z}
				}
			}
			want := xyz.Lab(d65.xyz())
			got := labOf(space, color.NRGBA{code[0], code[1], code[2], 255})
			assert.Less(t, spectrum.DE00(want, got), 0.05, "%s %v: %v, not %v", name, code, got, want)
		}
	}
	// lin_P3 to lin_sRGB, from the same matrices (W3C CSS Color 4, section 17).
	want := Matrix{{1.2249, -0.2249, 0}, {-0.0421, 1.0421, 0}, {-0.0196, -0.0786, 1.0983}}
	for i := range want {
		assert.InDeltaSlice(t, want[i][:], byProfile.ToSRGB[i][:], 0.001)
	}
}

// The primaries of Adobe RGB (1998) in XYZ, as its specification prints them
// (version 2005-05, section 4.3.5.3), lead to the space that EXIF's R03 names.
func TestAdobeRGBPrimaries(t *testing.T) {
	want := [Channels]spectrum.XYZ{
		{X: 0.57667, Y: 0.29734, Z: 0.02703},
		{X: 0.18556, Y: 0.62736, Z: 0.07069},
		{X: 0.18823, Y: 0.07529, Z: 0.99134},
	}
	for c, code := range []color.NRGBA{{255, 0, 0, 255}, {0, 255, 0, 255}, {0, 0, 255, 255}} {
		assert.Less(t, spectrum.DE00(want[c].Lab(d65.xyz()), labOf(adobeRGB, code)), 0.05)
	}
	// Its gamma is 2.19921875 (4.3.4.2).
	assert.InDelta(t, math.Pow(128.0/255, 2.19921875), adobeRGB.light8[Red][128], 1e-6)
}

// One curve, written in each way that ICC.1:2022 has (10.6; 10.18, table 68).
func TestCurves(t *testing.T) {
	sampled := make([]uint16, 1024)
	for i := range sampled {
		sampled[i] = uint16(math.Round(65535 * SRGBCurve(float64(i)/1023)))
	}
	power := func(g float64) func(float64) float64 {
		return func(v float64) float64 { return math.Pow(v, g) }
	}
	lifted := func(v float64) float64 { // 1 and 2: L = ((V + 0.05) / 1.05)^3
		return math.Pow((v+0.05)/1.05, 3)
	}
	for name, c := range map[string]struct {
		tag  []byte
		want func(float64) float64
	}{
		"straight":        {iccprofile.Curve(), power(1)},
		"gamma":           {iccprofile.Curve(563), power(563.0 / 256)},
		"two points":      {iccprofile.Curve(0, 65535), power(1)},
		"sampled":         {iccprofile.Curve(sampled...), SRGBCurve},
		"parametric 0":    {iccprofile.Parametric(0, 1.8), power(1.8)},
		"parametric 1":    {iccprofile.Parametric(1, 3, 1/1.05, 0.05/1.05), lifted},
		"parametric 2":    {iccprofile.Parametric(2, 3, 1/1.05, 0.05/1.05, 0), lifted},
		"parametric 3":    {iccprofile.SRGBCurve, SRGBCurve},
		"parametric 4":    {iccprofile.Parametric(4, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045, 0, 0), SRGBCurve},
		"parametric 2, c": {iccprofile.Parametric(2, 2, 1, 0, -0.01), func(v float64) float64 { return max(v*v-0.01, 0) }},
		"parametric 1, below": {iccprofile.Parametric(1, 2, 1.25, -0.25), func(v float64) float64 {
			return math.Pow(max(1.25*v-0.25, 0), 2)
		}},
	} {
		curve, ok := curveOf(c.tag)
		require.True(t, ok, name)
		for v := 0.0; v <= 1; v += 1.0 / 255 {
			assert.InDelta(t, c.want(v), curve(v), 1e-4, "%s at %.3f", name, v)
		}
	}
	for name, tag := range map[string][]byte{
		"nothing": nil, "another type": []byte("text\x00\x00\x00\x00none"), "points missing": iccprofile.Curve(0, 1, 2)[:16],
		"parametric 5": iccprofile.Parametric(5, 1, 2, 3, 4, 5, 6, 7), "numbers missing": iccprofile.SRGBCurve[:20],
	} {
		_, ok := curveOf(tag)
		assert.False(t, ok, name)
	}
}

// A profile that says sRGB in other words is sRGB, and its picture gets no note.
func TestProfileOfSRGBIsSRGB(t *testing.T) {
	tags := picturetest.DisplayP3Tags(iccprofile.SRGBCurve)
	// IEC 61966-2-1 adapted to D50, as the profiles named sRGB have it.
	tags["rXYZ"] = iccprofile.XYZ(spectrum.XYZ{X: 0.43607, Y: 0.22249, Z: 0.01392})
	tags["gXYZ"] = iccprofile.XYZ(spectrum.XYZ{X: 0.38515, Y: 0.71687, Z: 0.09708})
	tags["bXYZ"] = iccprofile.XYZ(spectrum.XYZ{X: 0.14307, Y: 0.06061, Z: 0.71410})
	m := metadata{profile: iccprofile.New("RGB ", tags)}
	space, note := m.colours()
	assert.Same(t, SRGB, space)
	assert.Empty(t, note)
}

// A copy of a screen is no photograph, and its profile tells.
func TestProfileOfAScreen(t *testing.T) {
	tags := picturetest.DisplayP3Tags(iccprofile.SRGBCurve)
	photograph := metadata{profile: iccprofile.New("RGB ", tags)}
	_, note := photograph.colours()
	assert.NotContains(t, note, "screen")
	tags["vcgt"] = []byte("vcgt\x00\x00\x00\x00\x00\x00\x00\x01")
	copied := metadata{profile: iccprofile.New("RGB ", tags)}
	_, note = copied.colours()
	assert.Contains(t, note, "a copy of a screen, by the file's profile,")
	assert.Contains(t, note, "colours are read by the file's profile Display P3")
	assert.Contains(t, note, "give the camera's own file")
}

// What a profile is not good for is said, and sRGB assumed.
func TestProfilesThatAreNotUsed(t *testing.T) {
	change := func(kind string, f func(tags map[string][]byte)) []byte {
		tags := picturetest.DisplayP3Tags(iccprofile.SRGBCurve)
		f(tags)
		return iccprofile.New(kind, tags)
	}
	nothing := func(map[string][]byte) {}
	for says, profile := range map[string][]byte{
		"profile is damaged": picturetest.DisplayP3[:100],
		"Display P3 is made of tables (LUT)": change("RGB ", func(tags map[string][]byte) {
			delete(tags, "rXYZ")
			tags["A2B0"] = []byte("mft2")
		}),
		"Display P3 is damaged":                       change("RGB ", func(tags map[string][]byte) { delete(tags, "bTRC") }),
		"Display P3 is one for greys":                 change("GRAY", nothing),
		"Display P3 is one for printing inks (CMYK),": change("CMYK", nothing),
	} {
		m := metadata{profile: profile}
		space, note := m.colours()
		assert.Same(t, SRGB, space)
		assert.Contains(t, note, says)
		assert.Contains(t, note, "sRGB was assumed")
	}
	for name, f := range map[string]func(tags map[string][]byte){
		"a falling curve": func(tags map[string][]byte) { tags["gTRC"] = iccprofile.Curve(65535, 0) },
		"a curve to grey": func(tags map[string][]byte) { tags["gTRC"] = iccprofile.Curve(0, 30000) },
		"a NaN":           func(tags map[string][]byte) { tags["gTRC"] = iccprofile.Parametric(1, 2.2, 0, 0) },
		"a white far off": func(tags map[string][]byte) { tags["rXYZ"] = iccprofile.XYZ(spectrum.XYZ{X: 1, Y: 1, Z: 1}) },
		"two primaries": func(tags map[string][]byte) {
			half := spectrum.XYZ{X: 0.4, Y: 0.4, Z: 0.4}
			tags["rXYZ"], tags["gXYZ"] = iccprofile.XYZ(half), iccprofile.XYZ(half)
		},
	} {
		_, err := profileSpace(change("RGB ", f))
		assert.ErrorIs(t, err, errDamaged, name)
	}
}

func TestProfileNames(t *testing.T) {
	assert.Equal(t, "Display P3", profileName(picturetest.DisplayP3))
	assert.Equal(t, "Old RGB", profileName(iccprofile.New("RGB ", map[string][]byte{"desc": iccprofile.Description("Old RGB")})))
	assert.Equal(t, "a[31m", profileName(iccprofile.New("RGB ", map[string][]byte{"desc": iccprofile.Description("a\x1b[31m\n")})))
	assert.Empty(t, profileName(iccprofile.New("RGB ", nil)))
}

func TestProfilesAreFoundInFiles(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 8, 8))
	var jpegFile, pngFile bytes.Buffer
	require.NoError(t, jpeg.Encode(&jpegFile, img, nil))
	require.NoError(t, png.Encode(&pngFile, img))
	for name, file := range map[string][]byte{
		"JPEG, one segment":  picturetest.WithProfile(jpegFile.Bytes(), picturetest.DisplayP3, 60000),
		"JPEG, six segments": picturetest.WithProfile(jpegFile.Bytes(), picturetest.DisplayP3, 100),
		"PNG":                picturetest.WithProfile(pngFile.Bytes(), picturetest.DisplayP3, 0),
		"TIFF":               picturetest.TIFF(img, picturetest.DisplayP3, 1),
		"HEIC":               heifBoxes(picturetest.DisplayP3),
	} {
		m := metadataOf(file)
		assert.Equal(t, picturetest.DisplayP3, m.profile, name)
		_, note := m.colours()
		assert.Equal(t, "colours are read by the file's profile Display P3", note, name)
	}
	whole := picturetest.WithProfile(jpegFile.Bytes(), picturetest.DisplayP3, 400)
	missing := slices.Concat(whole[:2], whole[2+2+2+14+len(picturetest.DisplayP3)%400:])
	m := metadataOf(missing)
	_, note := m.colours()
	assert.Contains(t, note, "incomplete")
}

// Colour spaces that are named without a profile: PNG's cICP and sRGB (PNG, third
// edition, 11.3.2), HEIC's nclx by the same numbers (ITU-T H.273), EXIF's R03 (DCF
// 2.0).
func TestNamedColourSpaces(t *testing.T) {
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, image.NewNRGBA(image.Rect(0, 0, 8, 8))))
	with := func(chunks ...any) metadata { return metadataOf(withChunks(file.Bytes(), chunks...)) }
	for _, c := range []struct {
		m     metadata
		space *ColourSpace
		says  string
	}{
		{with("cICP", []byte{12, 13, 0, 1}), DisplayP3, "Display P3"},
		{with("cICP", []byte{1, 13, 0, 1}), SRGB, ""},
		{with("cICP", []byte{9, 16, 0, 1}), SRGB, "no colour profile"},
		{with("sRGB", []byte{0}), SRGB, ""},
		{with("eXIf", interopBlock("R03")), adobeRGB, "Adobe RGB"},
		{with("gAMA", gamma(45455)), SRGB, "no colour profile"},
		{with("cHRM", chromaticities(d65, srgbLights)), SRGB, "no colour profile"},
		{with("gAMA", gamma(45455), "cHRM", chromaticities(d65, srgbLights)), SRGB, ""},
		{with("sRGB", []byte{0}, "gAMA", gamma(60000), "cHRM", chromaticities(d65, srgbLights)), SRGB, ""},
		{with("eXIf", interopBlock("R98")), SRGB, "no colour profile"},
		{metadataOf(heifBoxes(nil, nclx(12, 13, 6, true))), DisplayP3, "Display P3"},
	} {
		space, note := c.m.colours()
		assert.Same(t, c.space, space, c.says)
		assert.Contains(t, note, c.says)
		assert.Equal(t, c.says == "", note == "")
	}
}

// withChunks puts chunks, each a kind and a body, behind the header of a PNG.
func withChunks(file []byte, chunks ...any) []byte {
	const header = 8 + 25
	out := slices.Clone(file[:header])
	for i := 0; i < len(chunks); i += 2 {
		out = append(out, picturetest.Chunk(chunks[i].(string), chunks[i+1].([]byte))...)
	}
	return append(out, file[header:]...)
}

// gamma is the body of a gAMA chunk, chromaticities that of a cHRM chunk (PNG, third
// edition, 11.3.2.2 and 11.3.2.1).
func gamma(timesUnit uint32) []byte { return binary.BigEndian.AppendUint32(nil, timesUnit) }

func chromaticities(white chromaticity, lights [Channels]chromaticity) (body []byte) {
	for _, p := range append([]chromaticity{white}, lights[:]...) {
		for _, v := range []float64{p.x, p.y} {
			body = binary.BigEndian.AppendUint32(body, uint32(math.Round(100_000*v)))
		}
	}
	return body
}

// srgbLights are the primaries of sRGB (IEC 61966-2-1:1999, table 1).
var srgbLights = [Channels]chromaticity{{0.64, 0.33}, {0.30, 0.60}, {0.15, 0.06}}

// A PNG that gives primaries and an exponent is read by them: those of Display P3
// (SMPTE EG 432-1:2010) mix as they do there, and grey is grey under another white
// (ROMM RGB, ISO 22028-2:2013, whose white is D50 and exponent 1.8).
func TestPrimariesAndExponent(t *testing.T) {
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, image.NewNRGBA(image.Rect(0, 0, 8, 8))))
	read := func(exponent uint32, white chromaticity, lights [Channels]chromaticity) (*ColourSpace, string) {
		m := metadataOf(withChunks(file.Bytes(), "gAMA", gamma(exponent), "cHRM", chromaticities(white, lights)))
		return m.colours()
	}
	p3 := [Channels]chromaticity{{0.680, 0.320}, {0.265, 0.690}, {0.150, 0.060}}
	space, note := read(45455, d65, p3)
	assert.Contains(t, note, "primaries and an exponent")
	assert.InDelta(t, math.Pow(0.5, 2.2), space.curve[Green](0.5), 1e-4)
	for i := range space.ToSRGB {
		assert.InDeltaSlice(t, DisplayP3.ToSRGB[i][:], space.ToSRGB[i][:], 1e-9)
	}

	space, _ = read(55556, chromaticity{0.3457, 0.3585}, [Channels]chromaticity{{0.7347, 0.2653}, {0.1596, 0.8404}, {0.0366, 0.0001}})
	assert.InDelta(t, math.Pow(0.5, 1.8), space.curve[Green](0.5), 1e-4)
	white := space.ToSRGB.Times([Channels]float64{1, 1, 1})
	assert.InDeltaSlice(t, []float64{1, 1, 1}, white[:], 1e-3)

	// Numbers that make no colours are as good as none.
	for _, lights := range [][Channels]chromaticity{{}, {{0.1, 0.1}, {0.2, 0.2}, {0.3, 0.3}}, {{0.9, 0.9}, {0.3, 0.6}, {0.15, 0.06}}} {
		_, note := read(45455, d65, lights)
		assert.Contains(t, note, "no colour profile")
	}
	_, note = read(0, d65, p3)
	assert.Contains(t, note, "no colour profile")
}

// A copy of a screen may say so in the comment (CIPA DC-008-2019, tag 0x9286); that of
// the reference data does, and has a profile of a screen besides.
func TestCopyOfAScreenSaysSo(t *testing.T) {
	file := picturetest.WithProfile(append([]byte("\xff\xd8"), picturetest.Segment(0xe1, append([]byte("Exif\x00\x00"), commentBlock("ASCII\x00\x00\x00Screenshot")...))...), picturetest.DisplayP3, 1<<15)
	m := metadataOf(file)
	space, note := m.colours()
	assert.Contains(t, note, "a copy of a screen, as the file says")
	assert.Contains(t, note, "Display P3")
	assert.InDelta(t, DisplayP3.ToSRGB[Red][Red], space.ToSRGB[Red][Red], 1e-3)
	for _, other := range []string{"ASCII\x00\x00\x00Screenshots of wax", "UNICODE\x00Screenshot", "ASCII", ""} {
		m := metadata{}
		m.readEXIF(commentBlock(other))
		assert.False(t, m.ofScreen, other)
	}
	_, note = reference(t, "chart_dark_300x396.png")
	assert.Contains(t, note, "a copy of a screen, as the file says")
}

// interopBlock is an EXIF block with the directories down to interoperability,
// each of one entry.
func interopBlock(index string) []byte {
	b := []byte("II*\x00\x08\x00\x00\x00")
	b = oneEntry(b, tagExifDirectory, tiffLong, 1, []byte{26, 0, 0, 0})
	b = oneEntry(b, tagInteropDirectory, tiffLong, 1, []byte{44, 0, 0, 0})
	return oneEntry(b, tagInteroperability, tiffASCII, 4, append([]byte(index), 0))
}

// commentBlock is an EXIF block with a user's comment.
func commentBlock(comment string) []byte {
	b := []byte("II*\x00\x08\x00\x00\x00")
	b = oneEntry(b, tagExifDirectory, tiffLong, 1, []byte{26, 0, 0, 0})
	b = oneEntry(b, tagUserComment, tiffOpaque, uint32(len(comment)), []byte{44, 0, 0, 0})
	return append(b, comment...)
}

// oneEntry appends a directory of one entry, of four bytes or where they are.
func oneEntry(b []byte, tag, kind uint16, count uint32, value []byte) []byte {
	b = binary.LittleEndian.AppendUint16(b, 1)
	b = binary.LittleEndian.AppendUint16(b, tag)
	b = binary.LittleEndian.AppendUint16(b, kind)
	b = binary.LittleEndian.AppendUint32(b, count)
	return append(append(b, value...), 0, 0, 0, 0)
}

const photographs = "../../../shared/refdata/photos/"

// reference reads one of the wide-gamut test pictures, which are listed with their
// source in the reference data.
func reference(t *testing.T, name string) (*Picture, string) {
	data, err := os.ReadFile(photographs + name)
	if os.IsNotExist(err) {
		t.Skip("the reference photographs are not here")
	}
	require.NoError(t, err)
	img, err := decode(data)
	require.NoError(t, err)
	m := metadataOf(data)
	space, note := m.colours()
	return FromImage(img, space), note
}

// meanAround is the mean light of a few pixels, at shares of the picture's sides.
func meanAround(p *Picture, x, y float64) (mean [Channels]float64) {
	const reach = 4
	cx, cy := int(x*float64(p.W)), int(y*float64(p.H))
	for dy := -reach; dy <= reach; dy++ {
		for dx := -reach; dx <= reach; dx++ {
			for c := range mean {
				mean[c] += float64(p.Light[c][(cy+dy)*p.W+cx+dx]) / ((2*reach + 1) * (2*reach + 1))
			}
		}
	}
	return mean
}

// The picture has a wheel of sRGB's strongest colours and on it a ring of those of
// its own wider space. Read by the profile, the wheel's red, green and blue are
// those of sRGB; the ring's lie beyond it, and are the same once they are cut off:
// a screen of sRGB shows no ring.
func TestRingOfAWiderSpace(t *testing.T) {
	p, note := reference(t, "p3_and_srgb_ring.jpg")
	assert.Contains(t, note, "DCI-P3-D65")
	for c, angle := range []float64{0, 240, 120} { // clockwise from the top
		sin, cos := math.Sincos(angle * math.Pi / 180)
		at := func(radius float64) [Channels]float64 { return meanAround(p, 0.5+radius*sin, 0.5-radius*cos) }
		wheel, ring := at(0.45), at(0.36)
		var want [Channels]float64
		want[c] = 1
		assert.InDeltaSlice(t, want[:], wheel[:], 0.02, "wheel at %g degrees", angle)
		assert.True(t, slices.Min(ring[:]) < -0.015 || slices.Max(ring[:]) > 1.05, "ring at %g degrees: %v", angle, ring)
		beyond := DisplayP3.ToSRGB
		for k := range ring {
			assert.InDelta(t, beyond[k][c], ring[k], 0.03, "ring at %g degrees", angle)
			assert.InDelta(t, want[k], min(max(ring[k], 0), 1), 0.02, "ring cut off, at %g degrees", angle)
		}
	}
}

// The picture's profile says that red is kept in blue, green in red and blue in
// green; its words stand in sectors of the colours they name.
func TestSwappedChannels(t *testing.T) {
	p, note := reference(t, "icc_swapped_channels.jpg")
	assert.Contains(t, note, "RGB-to-GBR")
	for c, at := range [][2]float64{Red: {0.5, 0.05}, Green: {0.04, 0.72}, Blue: {0.93, 0.7}} {
		light := meanAround(p, at[0], at[1])
		for k := range light {
			if k == c {
				assert.Greater(t, light[k], 0.9, "%v", light)
			} else {
				assert.Less(t, light[k], 0.15, "%v", light)
			}
		}
	}
}
