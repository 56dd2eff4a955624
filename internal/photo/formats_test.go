package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"setshade/internal/spectrum"
)

// tiffFile is a plain TIFF 6.0 of 8 bits, its samples in one strip behind the
// directory, with a profile (tag 34675 of ICC.1:2022, annex B.3) when there is
// one.
func tiffFile(img *image.NRGBA, icc []byte, orientation int) []byte {
	le := binary.LittleEndian
	type field struct {
		tag, kind uint16
		values    []byte
		count     int
	}
	short := func(tag uint16, values ...uint16) field {
		f := field{tag, tiffShort, nil, len(values)}
		for _, v := range values {
			f.values = le.AppendUint16(f.values, v)
		}
		return f
	}
	long := func(tag uint16, value int) field {
		return field{tag, tiffLong, le.AppendUint32(nil, uint32(value)), 1}
	}
	w, h := img.Rect.Dx(), img.Rect.Dy()
	fields := []field{
		long(256, w), long(257, h), short(258, 8, 8, 8), short(259, 1), short(262, 2),
		long(273, 0), short(tagOrientation, uint16(orientation)), short(277, 3), long(278, h), long(279, 3*w*h),
	}
	if icc != nil {
		fields = append(fields, field{tagProfile, tiffOpaque, icc, len(icc)})
	}
	directory := 8 + 2 + 12*len(fields) + 4
	var outside []byte
	b := []byte("II*\x00\x08\x00\x00\x00")
	b = le.AppendUint16(b, uint16(len(fields)))
	strip := -1
	for _, f := range fields {
		b = le.AppendUint16(b, f.tag)
		b = le.AppendUint16(b, f.kind)
		b = le.AppendUint32(b, uint32(f.count))
		if f.tag == 273 {
			strip = len(b)
		}
		if len(f.values) > 4 {
			b = le.AppendUint32(b, uint32(directory+len(outside)))
			outside = append(outside, f.values...)
			continue
		}
		b = append(b, f.values...)
		b = append(b, make([]byte, 4-len(f.values))...)
	}
	b = append(append(b, 0, 0, 0, 0), outside...)
	le.PutUint32(b[strip:], uint32(len(b)))
	for i := 0; i < len(img.Pix); i += 4 {
		b = append(b, img.Pix[i:i+3]...)
	}
	return b
}

// The same picture reads the same from each way of keeping it without loss.
func TestTIFFReadsAsPNG(t *testing.T) {
	t.Parallel()
	img := smallCard().render()
	want, err := Read(encoded(t, img, 0), plan)
	require.NoError(t, err)
	deflate := new(bytes.Buffer)
	require.NoError(t, tiff.Encode(deflate, img, &tiff.Options{Compression: tiff.Deflate, Predictor: true}))
	for name, file := range map[string][]byte{
		"plain": tiffFile(img, nil, 1), "turned": tiffFile(storedAs(img, 6), nil, 6), "deflate": deflate.Bytes(),
	} {
		r, err := Read(file, plan)
		require.NoError(t, err, name)
		assert.Equal(t, want.Drops, r.Drops, name)
		assert.Equal(t, want.Notes, r.Notes, name)
	}

	profiled, err := Read(withProfile(encoded(t, img, 0), p3Profile, 0), plan)
	require.NoError(t, err)
	r, err := Read(tiffFile(img, p3Profile, 1), plan)
	require.NoError(t, err)
	assert.Equal(t, profiled.Drops, r.Drops)
	assert.NotEqual(t, want.Drops, r.Drops)
}

// Codes of 16 bits are read as such: light between two codes of 8 bits stays
// between them.
func TestSixteenBits(t *testing.T) {
	img := image.NewNRGBA64(image.Rect(0, 0, 320, 240))
	const code = 20*257 + 100
	for i := range 320 * 240 {
		img.SetNRGBA64(i%320, i/320, color.NRGBA64{code, code + 16, code + 32, 0xffff})
	}
	var deep bytes.Buffer
	require.NoError(t, tiff.Encode(&deep, img, nil))
	for name, file := range map[string][]byte{"PNG": encoded(t, img, 0), "TIFF": deep.Bytes()} {
		decoded, err := decode(file)
		require.NoError(t, err, name)
		p := linearPicture(decoded, sRGB)
		for c := range channels {
			want := sRGBCurve(float64(code+16*c) / 65535)
			assert.InEpsilon(t, want, p.light[c][0], 0.002, name)
		}
	}
}

// The same card photographed in sRGB and in Display P3 reads the same, but for
// rounding; without its profile it does not.
func TestDisplayP3CardReadsAsSRGB(t *testing.T) {
	t.Parallel()
	want, err := Read(encoded(t, smallCard().render(), 0), plan)
	require.NoError(t, err)
	file := encoded(t, smallCard().renderIn(displayP3), 0)
	r, err := Read(withProfile(file, p3Profile, 0), plan)
	require.NoError(t, err)
	ignored, err := Read(file, plan)
	require.NoError(t, err)
	worst, worstIgnored := 0.0, 0.0
	for i := range want.Drops {
		worst = max(worst, spectrum.DE00(want.Drops[i].Colour.Lab, r.Drops[i].Colour.Lab))
		worstIgnored = max(worstIgnored, spectrum.DE00(want.Drops[i].Colour.Lab, ignored.Drops[i].Colour.Lab))
	}
	t.Logf("worst dE00 between the two files %.2f, with the profile ignored %.2f", worst, worstIgnored)
	assert.Less(t, worst, 0.3)
	assert.Greater(t, worstIgnored, 2.0)
}

// A drop more vivid than sRGB holds is read as it is from a file in Display P3.
func TestColoursOutsideSRGBAreNotCutOff(t *testing.T) {
	t.Parallel()
	vivid := spectrum.LabOfLinear(0.75, 0.02, -0.012) // in Display P3, outside sRGB
	c := smallCard()
	c.drops = grid([]spectrum.Lab{vivid}, 1, 0.12)
	c.lamp, c.light, c.shadow, c.highlight, c.noise = [3]float64{1, 1, 1}, 1, 0, 0.1, 0
	img := c.renderIn(displayP3)
	r, err := Read(withProfile(encoded(t, img, 0), p3Profile, 0), Expect{Drops: 1, Card: whiteCard})
	require.NoError(t, err)
	require.True(t, vivid.Display().Clipped)
	assert.Less(t, spectrum.DE00(vivid, r.Drops[0].Colour.Lab), 0.5, "%v, not %v", r.Drops[0].Colour.Lab, vivid)
	assert.Empty(t, r.Drops[0].Notes)
	for i := range 3 {
		assert.Less(t, r.Drops[0].Colour.Cov[i][i], 4.0)
	}
}

// isoBox is a box of ISO/IEC 14496-12.
func isoBox(kind string, bodies ...[]byte) []byte {
	body := slices.Concat(bodies...)
	return append(append(binary.BigEndian.AppendUint32(nil, uint32(8+len(body))), kind...), body...)
}

func nclx(primaries, transfer, matrix uint16, full bool) []byte {
	b := []byte("nclx")
	for _, v := range []uint16{primaries, transfer, matrix} {
		b = binary.BigEndian.AppendUint16(b, v)
	}
	if full {
		return isoBox("colr", append(b, 0x80))
	}
	return isoBox("colr", append(b, 0))
}

func ispe(w, h uint32) []byte {
	b := binary.BigEndian.AppendUint32(make([]byte, 4), w)
	return isoBox("ispe", binary.BigEndian.AppendUint32(b, h))
}

// heifBoxes are the boxes of a HEIC file without its picture: item 7 is the main
// one, item 3 a small one with a property of its own in front.
func heifBoxes(icc []byte, more ...[]byte) []byte {
	properties := [][]byte{ispe(160, 120), nclx(9, 16, 6, true), ispe(660, 480)}
	if icc != nil {
		properties = append(properties, isoBox("colr", []byte("prof"), icc))
	}
	properties = append(properties, more...)
	associations := []byte{0, 0, 0, 0, 0, 0, 0, 2, 0, 3, 2, 1, 0x82, 0, 7, byte(len(properties) - 2)}
	for i := 3; i <= len(properties); i++ {
		associations = append(associations, byte(i))
	}
	return slices.Concat(
		isoBox("ftyp", []byte("heic\x00\x00\x00\x00mif1heic")),
		isoBox("meta", make([]byte, 4),
			isoBox("pitm", []byte{0, 0, 0, 0, 0, 7}),
			isoBox("iprp", isoBox("ipco", properties...), isoBox("ipma", associations))),
		isoBox("mdat", []byte("none")),
	)
}

// Files that are refused for what their headers say, before anything is unpacked.
func TestRefusedByHeader(t *testing.T) {
	hugeTIFF := tiffFile(image.NewNRGBA(image.Rect(0, 0, 2, 2)), nil, 1)
	for _, at := range []int{10 + 8, 10 + 12 + 8} { // the values of width and length
		binary.LittleEndian.PutUint32(hugeTIFF[at:], 20000)
	}
	var palette bytes.Buffer
	require.NoError(t, tiff.Encode(&palette, image.NewGray(image.Rect(0, 0, 300, 300)), nil))
	jpegTIFF := tiffFile(smallCard().render(), nil, 1)
	binary.LittleEndian.PutUint16(jpegTIFF[10+3*12+8:], 7) // compression by JPEG
	for says, file := range map[string][]byte{
		"400 megapixels":                    hugeTIFF,
		"256 megapixels":                    heifBoxes(nil, ispe(16000, 16000)),
		"black and white":                   palette.Bytes(),
		"colours in a way that is not read": heifBoxes(nil, nclx(1, 13, 9, true)),
		"(matrix 6)":                        heifBoxes(nil, nclx(1, 13, 6, false)),
		"AVIF":                              isoBox("ftyp", []byte("avif\x00\x00\x00\x00mif1")),
		"damaged":                           isoBox("ftyp", []byte("heic\x00\x00\x00\x00mif1")),
		"a kind of TIFF":                    jpegTIFF,
		"breaks off":                        heifBoxes(nil)[:len(heifBoxes(nil))-2],
	} {
		_, err := decode(file)
		var refusal *Refusal
		require.ErrorAs(t, err, &refusal, says)
		assert.Contains(t, refusal.Error(), says)
	}
}

// A card saved as HEIC by another program reads as the PNG it was made from, to
// within the rounding of luma and chroma, which at the darkest drops comes to one
// dE00. The bounds are those owed for any photograph. Turned, it is turned back.
func TestHEICReadsAsPNG(t *testing.T) {
	t.Parallel()
	encoder, err := exec.LookPath("heif-enc")
	if err != nil {
		t.Skip("heif-enc, which makes HEIC files, is not installed")
	}
	img := smallCard().render()
	png := func(img *image.NRGBA) []byte { return withProfile(encoded(t, img, 0), p3Profile, 0) }
	want, err := Read(png(img), plan)
	require.NoError(t, err)
	// The encoder writes no rotation, so the count of channels is made one of three
	// quarters to the left (ISO/IEC 23008-12, 6.5.10).
	turned := bytes.Replace(asHEIC(t, encoder, png(storedAs(img, 6))), []byte("pixi\x00\x00\x00\x00"), []byte("irot\x03\x00\x00\x00"), 1)
	for name, file := range map[string][]byte{"upright": asHEIC(t, encoder, png(img)), "turned": turned} {
		r, err := Read(file, plan)
		require.NoError(t, err, name)
		assert.Equal(t, want.Notes, r.Notes, name)
		assert.Equal(t, want.WidthPx, r.WidthPx, name)
		require.Len(t, r.Drops, len(want.Drops))
		var differences []float64
		for i := range want.Drops {
			assert.InDelta(t, want.Drops[i].CentreX, r.Drops[i].CentreX, 1)
			differences = append(differences, spectrum.DE00(want.Drops[i].Colour.Lab, r.Drops[i].Colour.Lab))
		}
		t.Logf("%s: dE00 between HEIC and PNG median %.2f, worst %.2f", name, median(differences), slices.Max(differences))
		assert.Less(t, median(differences), 0.7, name)
		assert.Less(t, slices.Max(differences), 1.5, name)
	}
}

// asHEIC lets the encoder turn a PNG into HEIC.
func asHEIC(t *testing.T, encoder string, file []byte) []byte {
	dir := t.TempDir()
	from, to := filepath.Join(dir, "card.png"), filepath.Join(dir, "card.heic")
	require.NoError(t, os.WriteFile(from, file, 0o600))
	out, err := exec.Command(encoder, "-q", "95", "-o", to, from).CombinedOutput()
	require.NoError(t, err, "%s", out)
	heic, err := os.ReadFile(to)
	require.NoError(t, err)
	return heic
}
