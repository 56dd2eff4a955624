package picture

// Lit is what a camera wrote into its file of the light it worked in.
type Lit struct {
	// Lamp names the kind of lamp, "" where the file names none, or daylight.
	Lamp string
	// Balanced says that the camera set its white balance by what it saw.
	Balanced bool
}

// Tags of the directory of EXIF (CIPA DC-008-2019, 4.6.5), and the value of
// WhiteBalance by which a camera says that it set it itself.
const (
	tagLightSource  = 0x9208
	tagWhiteBalance = 0xa403
	balancedItself  = 0
)

// lampNames are the lamps among the values of LightSource, without flash.
var lampNames = map[int]string{
	2: "fluorescent light", 12: "fluorescent light", 13: "fluorescent light", 14: "fluorescent light", 15: "fluorescent light", 16: "fluorescent light",
	3: "a light bulb", 17: "a light bulb", 24: "a light bulb", // tungsten, standard light A, studio tungsten
}

// readLit takes what the directory of EXIF says of the light.
func (m *metadata) readLit(t tiffBlock, exif map[uint16]entry) {
	if v, ok := t.short(exif[tagLightSource]); ok {
		m.lit.Lamp = lampNames[v]
	}
	v, ok := t.short(exif[tagWhiteBalance])
	m.lit.Balanced = ok && v == balancedItself
}
