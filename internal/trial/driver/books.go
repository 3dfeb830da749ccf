package driver

// books are a ledger read back.
type books struct {
	made    map[string]Entry   // intents that make a quote, by its reference
	quotes  map[string]*Answer // the last acknowledged answer of each quote, by name
	refs    map[string]string  // the names of quotes by reference
	void    map[string]bool    // quotes that a revision took the place of
	imports []Entry
	heads   map[int64]string // hashes by revision
	open    []Entry          // intents without an answer
	// moving are the quotes that an open intent is about.
	moving map[string]bool
}

func readBooks(entries []Entry, v *Verdict) *books {
	b := &books{made: map[string]Entry{}, quotes: map[string]*Answer{}, refs: map[string]string{}, void: map[string]bool{}, heads: map[int64]string{}, moving: map[string]bool{}}
	intents, answered := map[string]Entry{}, map[string]bool{}
	for _, e := range entries {
		if e.Call != "" {
			intents[e.ID] = e
			if e.Reference != "" {
				b.made[e.Reference] = e
			}
			if e.Call == Import {
				b.imports = append(b.imports, e)
			}
			continue
		}
		intent := intents[e.ID]
		answered[e.ID] = true
		if e.Answer == nil {
			v.problem("%s %s was refused: %s", intent.Call, e.ID, e.Refused)
			continue
		}
		v.Acknowledged++
		if intent.Call == Import {
			if other, twice := b.heads[e.Answer.Revision]; twice {
				v.problem("revision %d was acknowledged to two imports (%s, %s)", e.Answer.Revision, other, e.ID)
			}
			b.heads[e.Answer.Revision] = e.Answer.Hash
			continue
		}
		if intent.Reference != "" {
			b.refs[intent.Reference] = e.Answer.Name
			if intent.Call == Revise {
				b.void[intent.Quote] = true
			}
		} else if before := b.quotes[intent.Quote]; before == nil || before.Name != e.Answer.Name || before.Fingerprint != e.Answer.Fingerprint || before.Sequence >= e.Answer.Sequence {
			v.problem("%s %s of %s was answered with %s at %d, fingerprint %s, after %v", intent.Call, e.ID, intent.Quote, e.Answer.Name, e.Answer.Sequence, e.Answer.Fingerprint, before)
		}
		b.quotes[e.Answer.Name] = e.Answer
	}
	for _, e := range entries {
		if e.Call != "" && !answered[e.ID] {
			b.open = append(b.open, e)
			b.moving[e.Quote] = true
		}
	}
	return b
}
