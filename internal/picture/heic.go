package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"io"
	"strings"
	"sync"

	"setshade/internal/picture/libheif"
)

// heicFormat is HEIC, the pictures of ISO/IEC 23008-12 with HEVC inside, as
// phones write them. A picture in one piece is turned and mirrored by the decoder as
// the file says, one of tiles is turned here, so that an EXIF orientation in it is
// not to be applied again (23008-12, 6.5.10). One that tells of another turn is noted.
var heicFormat = format{
	matches:  isHEIF,
	config:   heicConfig,
	decode:   decodeHEIC,
	need:     needOfHEIC,
	describe: (*metadata).readHEIC,
	cut:      func(data []byte) bool { return heifEnd(data) > uint64(len(data)) },
}

// isHEIF looks for the brands of picture files in the first box.
func isHEIF(data []byte) bool {
	brands := string(box(data[:min(len(data), 512)], "ftyp"))
	for _, brand := range []string{"heic", "heix", "heim", "heis", "mif1", "avif"} {
		if strings.Contains(brands, brand) {
			return true
		}
	}
	return false
}

// heifEnd is where the boxes of the file end, beyond the file when it breaks off.
func heifEnd(data []byte) uint64 {
	end := uint64(0)
	for end+8 <= uint64(len(data)) {
		size := uint64(binary.BigEndian.Uint32(data[end:]))
		if size == 0 {
			return uint64(len(data))
		}
		if size < 8 { // of 64 bits, which only films need, or damaged
			return end
		}
		end += size
	}
	return end
}

var errNoPicture = errors.New("the file has no main picture")

const saveAsJPEG = "save it as JPEG"

// heicConfig finds the size in the boxes, so that nothing is decoded to learn it.
// The largest of all pictures in the file counts.
func heicConfig(r io.Reader) (image.Config, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return image.Config{}, err
	}
	if strings.Contains(string(box(data, "ftyp")[:4:4]), "avif") {
		return image.Config{}, Refuse(saveAsJPEG, "the file is an AVIF picture, which is not read here")
	}
	file, ok := heifOf(data)
	primary := file.of(file.primary)
	if !ok || len(primary) == 0 {
		return image.Config{}, errNoPicture
	}
	config := image.Config{ColorModel: color.YCbCrModel}
	for _, p := range file.properties {
		if w, h, ok := p.size(); ok && float64(w)*float64(h) > float64(config.Width)*float64(config.Height) {
			config.Width, config.Height = w, h
		}
	}
	for _, p := range primary {
		if p.kind == "pixi" && len(p.body) >= 5 && p.body[4] == 1 { // one channel, 6.5.6
			config.ColorModel = color.GrayModel
		}
		if matrix, full, ok := p.lumaChroma(); ok && !(full && isJPEGMatrix(matrix)) {
			return image.Config{}, Refuse(saveAsJPEG, "the file keeps its colours in a way that is not read here (matrix %d)", matrix)
		}
	}
	return config, nil
}

// size reads an ImageSpatialExtentsProperty (23008-12, 6.5.3).
func (p property) size() (w, h int, ok bool) {
	if p.kind != "ispe" || len(p.body) < 12 {
		return 0, 0, false
	}
	return int(binary.BigEndian.Uint32(p.body[4:])), int(binary.BigEndian.Uint32(p.body[8:])), true
}

// lumaChroma reads, from a colour property of the kind nclx, how red, green and
// blue make luma and chroma (14496-12, 12.1.5; ITU-T H.273, table 4).
func (p property) lumaChroma() (matrix int, full, ok bool) {
	if p.kind != "colr" || len(p.body) < 11 || string(p.body[:4]) != "nclx" {
		return 0, false, false
	}
	return int(binary.BigEndian.Uint16(p.body[8:])), p.body[10]&0x80 != 0, true
}

// isJPEGMatrix reports whether the matrix is that of JPEG (ITU-T T.871), which the
// picture the decoder returns is taken to have: BT.601 by either of its numbers,
// or not told.
func isJPEGMatrix(matrix int) bool { return matrix == 5 || matrix == 6 || matrix == 2 }

// needOfHEIC counts what the decoder takes for a picture in one piece; one of tiles is
// decoded row by row, and takes little more than its pixels.
func needOfHEIC(data []byte, header image.Config) float64 {
	const inOnePiece = 23 // bytes a pixel, measured
	pixels := float64(header.Width) * float64(header.Height)
	if file, ok := heifOf(data); ok {
		if _, tiled := gridOf(file); tiled {
			return 3 * pixels
		}
	}
	return inOnePiece * pixels
}

// oneHEIC lets one picture at a time be decoded: each takes memory of its own.
var oneHEIC sync.Mutex

func decodeHEIC(r io.Reader) (image.Image, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	oneHEIC.Lock()
	defer oneHEIC.Unlock()
	if file, ok := heifOf(data); ok {
		if g, tiled := gridOf(file); tiled {
			return g.decode()
		}
	}
	img, err := libheif.Decode(data)
	if errors.Is(err, libheif.ErrColours) {
		return nil, Refuse(saveAsJPEG, "the picture is black and white, or keeps its colours in a way that is not read here")
	}
	return img, err
}

// readHEIC takes the colours of the main picture, and how it is turned when that is
// left to us. Files name them by numbers, by
// a profile, or both; the profile goes first (23008-12, 6.5.5).
func (m *metadata) readHEIC(data []byte) {
	file, ok := heifOf(data)
	if !ok {
		return
	}
	if g, tiled := gridOf(file); tiled {
		m.orientation = g.orientation
	}
	if own, ok := file.turn(); ok {
		told := file.exifTurn()
		m.otherTurn = told != 1 && told != own
	}
	for _, p := range file.of(file.primary) {
		if p.kind != "colr" || len(p.body) < 4 {
			continue
		}
		switch body := p.body[4:]; string(p.body[:4]) {
		case "prof", "rICC":
			m.profile = bytes.Clone(body)
		case "nclx":
			if len(body) >= 4 {
				m.codePoints(int(binary.BigEndian.Uint16(body)), int(binary.BigEndian.Uint16(body[2:])))
			}
		}
	}
}
