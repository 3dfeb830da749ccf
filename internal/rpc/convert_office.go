package rpc

import (
	"context"
	"strconv"
	"strings"

	"google.golang.org/protobuf/types/known/fieldmaskpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/office"
)

var keyRoles = pairsOf(map[wattlev1.ApiKey_Role]auth.Role{
	wattlev1.ApiKey_ROLE_READER:    auth.Reader,
	wattlev1.ApiKey_ROLE_ESTIMATOR: auth.Estimator,
	wattlev1.ApiKey_ROLE_PRICER:    auth.Pricer,
	wattlev1.ApiKey_ROLE_ADMIN:     auth.Admin,
})

func companyToProto(c estimating.Company) *wattlev1.Company {
	return &wattlev1.Company{
		Name: "companies/" + c.ID, Title: c.Title, QuotesFromAbove: c.QuotesFromAbove,
		CreateTime: timestamppb.New(c.CreatedAt), Etag: etag(c.Version),
	}
}

func officeToProto(ctx context.Context, company string, o office.Office) *wattlev1.Office {
	// The caller's tree may be older than the office as it was just changed.
	tree := estimating.CallerOf(ctx).Tree.With(o)
	return &wattlev1.Office{
		Name: "companies/" + company + "/offices/" + o.ID, ParentOffice: o.Parent, Title: o.Title,
		Settings: settingsToProto(o.Settings), EffectiveSettings: settingsToProto(tree.Settings(o.ID)),
		Removed: o.Removed, Etag: etag(o.Version),
	}
}

func settingsToProto(s office.Settings) *wattlev1.OfficeSettings {
	p := &wattlev1.OfficeSettings{TimeZone: s.TimeZone, PreferredSuppliers: s.PreferredSuppliers}
	if s.MarginFloor != nil {
		p.MarginFloorPercent = new(s.MarginFloor.String())
	}
	if s.StaleAfterDays != nil {
		p.StaleAfterDays = new(int32(*s.StaleAfterDays))
	}
	return p
}

func settingsFromProto(v *fault.List, p *wattlev1.OfficeSettings) office.Settings {
	s := office.Settings{TimeZone: p.GetTimeZone(), PreferredSuppliers: p.GetPreferredSuppliers()}
	if p != nil && p.MarginFloorPercent != nil {
		floor := read(v, "margin_floor_percent", p.GetMarginFloorPercent(), money.ParseDecimal)
		s.MarginFloor = &floor
	}
	if p != nil && p.StaleAfterDays != nil {
		s.StaleAfterDays = new(int(p.GetStaleAfterDays()))
	}
	return s
}

// readOfficeChange is what an update changes of an office.
func readOfficeChange(v *fault.List, req *wattlev1.UpdateOfficeRequest) func(*office.Office) {
	paths := readMask(v, req.GetUpdateMask(), "parent_office", "title",
		"settings.time_zone", "settings.margin_floor_percent", "settings.stale_after_days", "settings.preferred_suppliers")
	want := settingsFromProto(v.At("office.settings"), req.GetOffice().GetSettings())
	return func(o *office.Office) {
		if paths["parent_office"] {
			o.Parent = req.GetOffice().GetParentOffice()
		}
		if paths["title"] {
			o.Title = req.GetOffice().GetTitle()
		}
		if paths["settings.time_zone"] {
			o.Settings.TimeZone = want.TimeZone
		}
		if paths["settings.margin_floor_percent"] {
			o.Settings.MarginFloor = want.MarginFloor
		}
		if paths["settings.stale_after_days"] {
			o.Settings.StaleAfterDays = want.StaleAfterDays
		}
		if paths["settings.preferred_suppliers"] {
			o.Settings.PreferredSuppliers = want.PreferredSuppliers
		}
	}
}

func keyToProto(k auth.Key) *wattlev1.ApiKey {
	p := &wattlev1.ApiKey{
		Name: "companies/" + k.Company + "/keys/" + k.ID, Office: k.Office, Role: keyRoles.wire[k.Role], WritesBelow: k.WritesBelow, Title: k.Title,
		CreateTime: timestamppb.New(k.CreatedAt),
	}
	if !k.ExpiresAt.IsZero() {
		p.ExpireTime = timestamppb.New(k.ExpiresAt)
	}
	if !k.RevokedAt.IsZero() {
		p.RevokeTime = timestamppb.New(k.RevokedAt)
	}
	return p
}

func keyFromProto(p *wattlev1.ApiKey) (auth.Key, error) {
	v := &fault.List{}
	k := auth.Key{Office: p.GetOffice(), Role: keyRoles.domain[p.GetRole()], WritesBelow: p.GetWritesBelow(), Title: p.GetTitle()}
	v.Require(k.Role != "", "key.role", "expected ROLE_READER, ROLE_ESTIMATOR, ROLE_PRICER or ROLE_ADMIN")
	v.Require(len(k.Title) <= 200, "key.title", "expected at most 200 bytes")
	if p.GetExpireTime() != nil {
		v.Require(p.GetExpireTime().IsValid(), "key.expire_time", "expected a time")
		k.ExpiresAt = p.GetExpireTime().AsTime()
	}
	return k, v.Err()
}

// readMask is the set of paths that a mask lists: all of them where it lists
// none, and of a group all that are in it.
func readMask(v *fault.List, mask *fieldmaskpb.FieldMask, all ...string) map[string]bool {
	paths := make(map[string]bool)
	for i, p := range mask.GetPaths() {
		known := false
		for _, path := range all {
			if path == p || strings.HasPrefix(path, p+".") {
				paths[path], known = true, true
			}
		}
		v.Require(known, "update_mask.paths["+strconv.Itoa(i)+"]", "expected one of %s, found %.80q", strings.Join(all, ", "), p)
	}
	if len(mask.GetPaths()) == 0 {
		for _, path := range all {
			paths[path] = true
		}
	}
	return paths
}

// etag is a version as callers carry it.
func etag(version int64) string { return strconv.FormatInt(version, 10) }

// readEtag is the version of an etag; nil where none is given.
func readEtag(v *fault.List, field, text string) *int64 {
	if text == "" {
		return nil
	}
	version, err := strconv.ParseInt(text, 10, 64)
	if !v.Require(err == nil && version > 0, field, "expected the etag of an answer, found %.80q", text) {
		return nil
	}
	return &version
}
