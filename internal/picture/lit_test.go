package picture

import (
	"encoding/binary"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// lightBlock is an EXIF block with LightSource and WhiteBalance; below 0 is without.
func lightBlock(source, balance int) []byte {
	order := binary.BigEndian
	entries := func(list ...[3]int) []byte { // tag, kind, value
		out := order.AppendUint16(nil, uint16(len(list)))
		for _, e := range list {
			out = order.AppendUint16(order.AppendUint16(out, uint16(e[0])), uint16(e[1]))
			out = order.AppendUint32(out, 1)
			if e[1] == tiffLong {
				out = order.AppendUint32(out, uint32(e[2]))
			} else {
				out = append(order.AppendUint16(out, uint16(e[2])), 0, 0)
			}
		}
		return append(out, 0, 0, 0, 0)
	}
	const first, exif = 8, 8 + 2 + 12 + 4
	var list [][3]int
	for _, e := range [][3]int{{0x9208, tiffShort, source}, {0xa403, tiffShort, balance}} {
		if e[2] >= 0 {
			list = append(list, e)
		}
	}
	header := order.AppendUint32([]byte("MM\x00*"), first)
	return slices.Concat(header, entries([3]int{tagExifDirectory, tiffLong, exif}), entries(list...))
}

// The values of LightSource and WhiteBalance are those of CIPA DC-008-2019, 4.6.5 (from
// memory): 1 daylight, 2 fluorescent, 3 tungsten, 4 flash, 9 to 11 weather, 12 to 16
// kinds of fluorescent, 17 light A, 18 to 23 other standard lights, 24 studio tungsten;
// 0 a balance that the camera set, 1 one that was chosen.
func TestLightByEXIF(t *testing.T) {
	for source, want := range map[int]string{
		-1: "", 0: "", 1: "", 2: "fluorescent light", 3: "a light bulb", 4: "", 10: "", 13: "fluorescent light",
		17: "a light bulb", 21: "", 24: "a light bulb", 255: "",
	} {
		m := metadata{}
		m.readEXIF(lightBlock(source, 1))
		assert.Equal(t, Lit{Lamp: want}, m.lit, source)
	}
	for balance, want := range map[int]bool{-1: false, 0: true, 1: false} {
		m := metadata{}
		m.readEXIF(lightBlock(3, balance))
		assert.Equal(t, Lit{"a light bulb", want}, m.lit)
	}
}
