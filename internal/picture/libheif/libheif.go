// Package libheif decodes HEIC pictures with libheif and libde265, which are C++
// compiled to WebAssembly: they run in Go, in bounded memory of their own, and a
// broken file cannot reach beyond it. Nothing is looked for in the system, however
// the program is built.
//
// heif.wasm.gz is built from source/heif.c by the Makefile there, all from the module
// github.com/gen2brain/heic 0.4.5 (LICENSE.binding). To put a changed libheif or
// libde265 in its place, build it anew and compress it.
package libheif

import (
	"bytes"
	"compress/gzip"
	"context"
	_ "embed"
	"errors"
	"fmt"
	"image"
	"io"
	"sync"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"
)

//go:embed heif.wasm.gz
var packed []byte

// MemoryBytes is the most memory that the decoder may take for one picture, with the
// file and the pixels in it.
const MemoryBytes = 704 << 20

const pageBytes = 64 << 10 // of WebAssembly

// The kinds of failure.
var (
	// ErrDecode: libheif does not decode it.
	ErrDecode = errors.New("libheif cannot decode it")
	// ErrColours: the pixels are not luma and chroma.
	ErrColours = errors.New("the colours are not kept as luma and chroma")
)

type program struct {
	runtime wazero.Runtime
	code    wazero.CompiledModule
}

// start compiles the decoder when it is first needed.
var start = sync.OnceValues(func() (p program, err error) {
	ctx := context.Background()
	unpacked, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return p, err
	}
	code, err := io.ReadAll(unpacked)
	if err != nil {
		return p, err
	}
	p.runtime = wazero.NewRuntimeWithConfig(ctx, wazero.NewRuntimeConfig().WithMemoryLimitPages(MemoryBytes/pageBytes))
	if _, err = wasi_snapshot_preview1.Instantiate(ctx, p.runtime); err == nil {
		p.code, err = p.runtime.CompileModule(ctx, code)
	}
	return p, err
})

// What heif.c asks for and tells: width, height, colours, chroma and a word on opacity.
const (
	wantPixels, wantSize = 0, 1
	fields, fieldBytes   = 5, 4
)

// Decode decodes the main picture of a HEIC file, turned and mirrored as the file says,
// with 8 bits a channel. It fails with ErrDecode and ErrColours, and where the decoder
// breaks off, as it does when it would take more than MemoryBytes.
func Decode(file []byte) (*image.YCbCr, error) {
	p, err := start()
	if err != nil {
		return nil, fmt.Errorf("the decoder of HEIC does not start: %w", err)
	}
	ctx := context.Background()
	m, err := p.runtime.InstantiateModule(ctx, p.code, wazero.NewModuleConfig())
	if err != nil {
		return nil, fmt.Errorf("the decoder of HEIC does not start: %w", err)
	}
	defer m.Close(ctx)
	call := func(name string, arguments ...uint64) (result uint64) {
		if err == nil {
			var results []uint64
			if results, err = m.ExportedFunction(name).Call(ctx, arguments...); err == nil {
				if result = results[0]; result == 0 {
					err = ErrDecode
				}
			}
		}
		return result
	}
	in, told := call("malloc", uint64(len(file))), call("malloc", fields*fieldBytes)
	if err == nil && !m.Memory().Write(uint32(in), file) {
		err = ErrDecode
	}
	decode := func(want, out uint64) {
		call("decode", in, uint64(len(file)), want, told, told+fieldBytes, told+2*fieldBytes, told+3*fieldBytes, told+4*fieldBytes, out)
	}
	field := func(n uint64) int {
		v, _ := m.Memory().ReadUint32Le(uint32(told + n*fieldBytes))
		return int(v)
	}
	if decode(wantSize, 0); err != nil {
		return nil, err
	}
	img, err := newImage(field(0), field(1), field(2), field(3))
	if err != nil {
		return nil, err
	}
	out := call("malloc", uint64(len(img.Y)+len(img.Cb)+len(img.Cr)))
	if decode(wantPixels, out); err != nil {
		return nil, err
	}
	for _, plane := range [][]byte{img.Y, img.Cb, img.Cr} {
		pixels, ok := m.Memory().Read(uint32(out), uint32(len(plane)))
		if !ok {
			return nil, ErrDecode
		}
		copy(plane, pixels)
		out += uint64(len(plane))
	}
	return img, nil
}

// newImage makes an image with room for the pixels, each line in a multiple of 16 bytes
// as libheif has them; colours and chroma are its numbers (heif_image.h).
func newImage(width, height, colours, chroma int) (*image.YCbCr, error) {
	const yCbCr, chroma420, chroma422, chroma444 = 0, 1, 2, 3
	if width <= 0 || height <= 0 || width > MemoryBytes/height {
		return nil, ErrDecode
	}
	img := &image.YCbCr{Rect: image.Rect(0, 0, width, height)}
	chromaWidth, chromaHeight := (width+1)/2, height
	switch {
	case colours == yCbCr && chroma == chroma420:
		img.SubsampleRatio, chromaHeight = image.YCbCrSubsampleRatio420, (height+1)/2
	case colours == yCbCr && chroma == chroma422:
		img.SubsampleRatio = image.YCbCrSubsampleRatio422
	case colours == yCbCr && chroma == chroma444:
		img.SubsampleRatio, chromaWidth = image.YCbCrSubsampleRatio444, width
	default:
		return nil, ErrColours
	}
	img.YStride, img.CStride = (width+15)&^15, (chromaWidth+15)&^15
	img.Y = make([]byte, height*img.YStride)
	img.Cb, img.Cr = make([]byte, chromaHeight*img.CStride), make([]byte, chromaHeight*img.CStride)
	return img, nil
}
