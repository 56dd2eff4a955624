package picture

import (
	"encoding/binary"
	"image"
	"maps"
	"slices"
)

// heif is what the boxes of a HEIC file say of its items (ISO/IEC 14496-12:2022,
// 8.11, and ISO/IEC 23008-12:2022).
type heif struct {
	data, meta []byte
	primary    uint32
	properties []property
	kinds      map[uint32]string
	parts      map[uint32][]uint32 // what an item is derived from, in order
	owned      map[uint32][]int    // numbers of an item's properties, from 1
	places     map[uint32][]place
}

// place is a run of bytes of an item, in the file or in the box of small items.
type place struct {
	within       []byte
	from, length uint64
}

func heifOf(data []byte) (f heif, ok bool) {
	f = heif{data: data, kinds: map[uint32]string{}, parts: map[uint32][]uint32{}, owned: map[uint32][]int{}, places: map[uint32][]place{}}
	const fullBox = 4
	meta := box(data, "meta")
	if len(meta) < fullBox {
		return f, false
	}
	f.meta = meta[fullBox:]
	f.readProperties()
	f.readKinds()
	f.readParts()
	f.readPlaces()
	f.primary, ok = primaryItem(box(f.meta, "pitm"))
	return f, ok
}

// readKinds reads the ItemInfoBox (14496-12, 8.11.6).
func (f *heif) readKinds() {
	r := byteReader{data: box(f.meta, "iinf")}
	countBytes := 2
	if r.uint(4)>>24 != 0 {
		countBytes = 4
	}
	r.uint(countBytes)
	for kind, entry := range boxes(r.data) {
		e := byteReader{data: entry}
		idBytes := 2
		switch version := e.uint(4) >> 24; {
		case kind != "infe" || version < 2:
			continue
		case version > 2:
			idBytes = 4
		}
		id := e.uint(idBytes)
		e.uint(2) // protection
		if len(e.data) >= 4 {
			f.kinds[id] = string(e.data[:4])
		}
	}
}

// readParts reads the references "dimg" of the ItemReferenceBox (14496-12,
// 8.11.12).
func (f *heif) readParts() {
	r := byteReader{data: box(f.meta, "iref")}
	idBytes := 2
	if r.uint(4)>>24 != 0 {
		idBytes = 4
	}
	for kind, entry := range boxes(r.data) {
		if kind != "dimg" {
			continue
		}
		e := byteReader{data: entry}
		from := e.uint(idBytes)
		for range e.uint(2) {
			f.parts[from] = append(f.parts[from], e.uint(idBytes))
		}
	}
}

// readProperties reads the ItemPropertiesBox (23008-12, 9.3).
func (f *heif) readProperties() {
	container := box(f.meta, "iprp")
	for kind, body := range boxes(box(container, "ipco")) {
		f.properties = append(f.properties, property{kind, body})
	}
	for kind, body := range boxes(container) {
		if kind == "ipma" {
			f.readOwned(body)
		}
	}
}

// readOwned reads an ItemPropertyAssociationBox (23008-12, 9.3.1). The top bit of
// each number says only whether a reader must know the property.
func (f *heif) readOwned(body []byte) {
	r := byteReader{data: body}
	version, wide := r.uint(1), r.uint(3)&1 == 1
	idBytes, indexBytes := 2, 1
	if version >= 1 {
		idBytes = 4
	}
	if wide {
		indexBytes = 2
	}
	essential := uint32(1) << (8*indexBytes - 1)
	for n := r.uint(4); n > 0 && !r.ended; n-- {
		id := r.uint(idBytes)
		for range r.uint(1) {
			if index := int(r.uint(indexBytes) &^ essential); index >= 1 && index <= len(f.properties) {
				f.owned[id] = append(f.owned[id], index)
			}
		}
	}
}

// readPlaces reads the ItemLocationBox (14496-12, 8.11.3).
func (f *heif) readPlaces() {
	r := byteReader{data: box(f.meta, "iloc")}
	version, sizes := r.uint(4)>>24, r.uint(2)
	offsetBytes, lengthBytes, baseBytes, indexBytes := int(sizes>>12), int(sizes>>8&15), int(sizes>>4&15), int(sizes&15)
	idBytes := 2
	if version >= 2 {
		idBytes = 4
	}
	if version == 0 {
		indexBytes = 0
	}
	small := box(f.meta, "idat")
	for n := r.uint(idBytes); n > 0 && !r.ended; n-- {
		id, within := r.uint(idBytes), f.data
		if version >= 1 {
			switch r.uint(2) & 15 {
			case 0:
			case 1:
				within = small
			default: // parts of other items
				within = nil
			}
		}
		r.uint(2) // which file: this one
		base := r.wide(baseBytes)
		for runs := r.uint(2); runs > 0 && !r.ended; runs-- {
			r.wide(indexBytes)
			f.places[id] = append(f.places[id], place{within, base + r.wide(offsetBytes), r.wide(lengthBytes)})
		}
	}
}

// content returns the bytes of an item, without those that are not in the file.
func (f *heif) content(item uint32) (content []byte) {
	for _, p := range f.places[item] {
		if whole := uint64(len(p.within)); p.from <= whole && p.length <= whole-p.from && uint64(len(content))+p.length <= MaxBytes {
			content = append(content, p.within[p.from:p.from+p.length]...)
		}
	}
	return content
}

// of returns the properties of an item.
func (f *heif) of(item uint32) []property {
	found := make([]property, len(f.owned[item]))
	for i, number := range f.owned[item] {
		found[i] = f.properties[number-1]
	}
	return found
}

func (f *heif) sizeOf(item uint32) (size image.Point) {
	for _, p := range f.of(item) {
		if w, h, ok := p.size(); ok {
			size = image.Pt(w, h)
		}
	}
	return size
}

// turn returns how the main picture is turned: ImageRotation counts quarter turns
// anti-clockwise (23008-12, 6.5.10). Mirrored and cropped pictures are left to
// the decoder.
func (f *heif) turn() (orientation int, ok bool) {
	orientation = 1
	for _, p := range f.of(f.primary) {
		switch {
		case p.kind == "imir" || p.kind == "clap":
			return 0, false
		case p.kind == "irot" && len(p.body) > 0:
			orientation = []int{1, 8, 3, 6}[p.body[0]&3]
		}
	}
	return orientation, true
}

// exifTurn is the orientation that the file's EXIF block tells, 1 without one. The block
// begins with how far on its TIFF header lies (23008-12, annex A.2.1, from memory).
func (f *heif) exifTurn() int {
	for _, item := range slices.Sorted(maps.Keys(f.kinds)) {
		if f.kinds[item] != "Exif" {
			continue
		}
		r := byteReader{data: f.content(item)}
		if on := uint64(r.uint(4)); on < uint64(len(r.data)) {
			if block, ok := tiffBlockOf(r.data[on:]); ok {
				return block.orientation()
			}
		}
	}
	return 1
}

// strip returns a file of which the picture is some of the tiles beside each other,
// cut to a size, with the properties that the main picture has but for its turn.
func (f *heif) strip(tiles []uint32, size image.Point) []byte {
	full := make([]byte, 4)
	u16 := func(v int) []byte { return binary.BigEndian.AppendUint16(nil, uint16(v)) }
	u32 := func(v int) []byte { return binary.BigEndian.AppendUint32(nil, uint32(v)) }
	written := func(kind string, bodies ...[]byte) []byte {
		body := slices.Concat(bodies...)
		return slices.Concat(u32(8+len(body)), []byte(kind), body)
	}
	var properties []byte
	for _, p := range f.properties {
		properties = append(properties, written(p.kind, p.body)...)
	}
	properties = append(properties, written("ispe", full, u32(size.X), u32(size.Y))...)
	owned := func(id int, numbers []int) (out []byte) {
		out = append(u16(id), byte(len(numbers)))
		for _, n := range numbers {
			const essential = 0x8000
			if n <= len(f.properties) && f.properties[n-1].kind == "hvcC" {
				n |= essential
			}
			out = append(out, u16(n)...)
		}
		return out
	}
	own := []int{len(f.properties) + 1}
	for _, n := range f.owned[f.primary] {
		if kind := f.properties[n-1].kind; kind == "colr" || kind == "pixi" {
			own = append(own, n)
		}
	}
	// Item 1 is the picture, the tiles follow.
	contents := [][]byte{slices.Concat([]byte{0, 1, 0, byte(len(tiles) - 1)}, u32(size.X), u32(size.Y))}
	infos := written("infe", []byte{2, 0, 0, 0}, u16(1), u16(0), []byte("grid\x00"))
	all, references := owned(1, own), slices.Concat(u16(1), u16(len(tiles)))
	for i, tile := range tiles {
		contents = append(contents, f.content(tile))
		infos = append(infos, written("infe", []byte{2, 0, 0, 1}, u16(i+2), u16(0), []byte("hvc1\x00"))...)
		all = append(all, owned(i+2, f.owned[tile])...)
		references = append(references, u16(i+2)...)
	}
	ftyp := written("ftyp", []byte("heic\x00\x00\x00\x00mif1heic"))
	meta := func(start int) []byte {
		var places []byte
		for i, c := range contents {
			places = slices.Concat(places, u16(i+1), u16(0), u16(1), u32(start), u32(len(c)))
			start += len(c)
		}
		return written("meta", full,
			written("hdlr", box(f.meta, "hdlr")),
			written("pitm", full, u16(1)),
			written("iloc", full, []byte{0x44, 0}, u16(len(contents)), places),
			written("iinf", full, u16(len(contents)), infos),
			written("iref", full, written("dimg", references)),
			written("iprp", written("ipco", properties), written("ipma", []byte{0, 0, 0, 1}, u32(len(contents)), all)))
	}
	const header = 8
	start := len(ftyp) + len(meta(0)) + header
	return slices.Concat(ftyp, meta(start), written("mdat", contents...))
}
