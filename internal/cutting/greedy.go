package cutting

// fills is scratch for greedy plans: the lines hold as long as no other is made.
type fills struct {
	lines        []line
	cuts         []cut // of the lines
	best, second []cut
}

// fill cuts the longest piece that still fits, again and again, out of one stick,
// from what is left to cut, whose longest piece is number first. It appends to
// cuts, and says what length they take.
func (j *job) fill(s, first int, rest []int, cuts []cut) (filled []cut, length int64) {
	room, shortest := j.sticks[s].length, j.sizes[len(j.sizes)-1]
	for i := first; i < len(rest) && room >= shortest; i++ {
		n, size := int64(rest[i]), j.sizes[i]
		if n <= 0 || room < size {
			continue
		}
		if n > 1 {
			n = min(n, room/size)
		}
		cuts = append(cuts, cut{i, int(n)})
		room -= n * size
	}
	return cuts, j.sticks[s].length - room
}

// greedy is lines and a way to cut all of rest, which it uses up: stick by stick,
// each filled with the longest pieces left. Every stick is number only, where that
// one is long enough; with only < 0 each is the one that weighs least for the
// length cut from it.
func (j *job) greedy(rest []int, only int, lines []line, f *fills) []line {
	f.lines, f.cuts = append(f.lines[:0], lines...), f.cuts[:0]
	for i, size := range j.sizes {
		for rest[i] > 0 {
			from, stick := len(f.cuts), only
			if only >= 0 && j.sticks[only].length >= size {
				f.cuts, _ = j.fill(only, i, rest, f.cuts)
			} else {
				stick = j.fillBest(i, rest, f)
				f.cuts = append(f.cuts, f.best...)
			}
			b := line{pattern: pattern{stick, f.cuts[from:len(f.cuts):len(f.cuts)]}}
			b.times = b.repeats(rest)
			b.takeFrom(rest)
			f.lines = append(f.lines, b)
		}
	}
	return f.lines
}

// fillBest fills, around piece first, the stick that weighs least for the length
// cut from it: f.best are its cuts.
func (j *job) fillBest(first int, rest []int, f *fills) (stick int) {
	stick, most := -1, int64(0)
	for s, st := range j.sticks {
		if st.length < j.sizes[first] {
			break // and those after it are shorter
		}
		var length int64
		f.second, length = j.fill(s, first, rest, f.second[:0])
		if stick < 0 || lessProduct(st.weight, most, j.sticks[stick].weight, length) {
			stick, most = s, length
			f.best, f.second = f.second, f.best
		}
	}
	return stick
}

// snugTries bounds the search of one snug pattern; most end far sooner.
const snugTries = 500

// snug fills stick s as full as it can around the longest piece of rest that
// fits; no cuts where nothing fits. Of many ways to fill it up, turn chooses:
// the search for the second piece starts that many pieces on.
func (j *job) snug(s int, rest []int, turn int) pattern {
	length := j.sticks[s].length
	first, last := 0, len(rest)-1
	for first <= last && (rest[first] == 0 || j.sizes[first] > length) {
		first++
	}
	if first > last {
		return pattern{stick: s}
	}
	for rest[last] == 0 {
		last--
	}
	var at, best []cut
	bestRoom := length
	tries := 0
	var try func(i int, room int64)
	take := func(i int, room int64) {
		for n := min(int64(rest[i]), room/j.sizes[i]); n > 0 && bestRoom > 0; n-- {
			at = append(at, cut{i, int(n)})
			try(i+1, room-n*j.sizes[i])
			at = at[:len(at)-1]
		}
	}
	try = func(i int, room int64) {
		tries++
		if room < bestRoom {
			bestRoom = room
			best = append(best[:0], at...)
		}
		if len(at) == 1 {
			span := last + 1 - i
			for k := range span {
				if bestRoom > 0 && tries < snugTries {
					take(i+(k+turn)%span, room)
				}
			}
			return
		}
		for ; i <= last && room >= j.sizes[last] && bestRoom > 0 && tries < snugTries; i++ {
			take(i, room)
		}
	}
	take(first, length)
	return pattern{s, best}
}
