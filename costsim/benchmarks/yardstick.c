/* The balance of an hour once more in C, sixteen scenarios side by side: a yardstick for the compiled kernel, nothing else.
   Built for one plant with -DKIND0=... to -DKIND2=..., the kinds of what gives first, second and third: 1 a fire, 2 a collector,
   3 a source that is told to run, 4 the same with cycling losses, 0 nothing; and -DPUMPS=1 where the floor's pumps take electricity. One mixed tank; no mass, no other uses. */

#define W 16
#define COUNT ((KIND0 > 0) + (KIND1 > 0) + (KIND2 > 0))
#define INLINE static inline __attribute__((always_inline))
#define FIRE(kind) ((kind) == 1)
#define SUN(kind) ((kind) == 2)
#define TOLD(kind) ((kind) >= 3)
#define HOUR_S 3600.0
#define ROUNDING 0.5

struct own { double slope, cycling, per_fire, standby, share, watts, burn, least; };
struct hour { double most, target, charge, ahead, until, per; };
struct others { double fuel, places; };
struct state { double call, idle, need, room, space, rise, per_rise, resistance, top, aid; };

INLINE double higher(double a, double b) { return a > b ? a : b; }
INLINE double lower(double a, double b) { return a < b ? a : b; }

/* What of another fire's fuel needs a place beside a charge: what burns with it, and later what the house will not take. */
INLINE double place(struct own own, struct hour hour, struct own other, double fuel)
{
    const double meanwhile = higher(other.burn * hour.charge / own.burn, 1.0), soon = lower(fuel, meanwhile);
    return soon + (fuel - soon) * higher(0.0, 1.0 - hour.ahead / meanwhile);
}

/* Fuel of the other fires, a and b, and what of it needs a place. */
INLINE struct others others_of(struct own own, struct hour hour, int kind_a, struct own a, double fuel_a, int kind_b, struct own b,
                               double fuel_b)
{
    const double places_a = FIRE(kind_a) ? place(own, hour, a, fuel_a) : 0.0, places_b = FIRE(kind_b) ? place(own, hour, b, fuel_b) : 0.0;
    const struct others others = {(FIRE(kind_a) ? fuel_a : 0.0) + (FIRE(kind_b) ? fuel_b : 0.0), places_a + places_b};
    return others;
}

/* A fire: its charge is what will find a place while it burns, beside what the other fires hold. */
INLINE double fire(struct own own, struct hour hour, double *fuel, double *burnt, double *lit, double given, struct others others,
                   struct state at)
{
    const double charge = hour.charge, ahead = hour.ahead, least = own.least;
    const double free = at.space * HOUR_S - *fuel - others.places;
    const double part = higher(0.0, free) * (charge / higher(charge - ahead, 1.0));
    const double fits = free + ahead >= charge ? charge : higher(least * charge, part);
    const double share = (at.idle - at.need) * at.per_rise * HOUR_S + *fuel < hour.until - others.fuel ? 0.5 : 1.0;
    const double loads = free + least * ahead >= share * (least * charge) ? fits : 0.0, full = *fuel + loads;
    const double burning = lower(own.burn, full * (1.0 / HOUR_S));
    *fuel = higher(0.0, full - burning * HOUR_S);
    *burnt = burning;
    *lit = loads;
    return lower(burning, higher(0.0, at.space + at.call - given));
}

/* Collectors meet the tank that the hour ends with. */
INLINE double sun(struct own own, struct hour hour, double given, double direct, struct state at)
{
    const double slope = own.slope, most = hour.most, rise = at.rise, damp = 1.0 + slope * rise, per_damp = 1.0 / damp;
    const double alone = (at.idle + rise * (given + most - at.call)) * per_damp;
    const double warmed = at.idle + rise * (given + at.aid + most);
    const double low = warmed * per_damp;
    const double both = (at.resistance * warmed + rise * at.room) * (1.0 / (at.resistance * damp + rise));
    const double first = low > at.room ? both : low;
    const double second = lower(first, (warmed - rise * (direct + at.aid)) * per_damp);
    const double cold = (warmed - rise * at.call) * per_damp, third = higher(second, cold);
    const double tied = cold < at.need ? third : at.need;
    const double meets = alone < at.need ? tied : alone;
    const double sunny = most > 0.0 ? higher(0.0, most - slope * meets) : 0.0;
    return lower(sunny, higher(0.0, at.space + at.call - given));
}

/* What a source gives in the hour, after what is given already; `burnt` is what a fire burns for it, `lit` what is loaded. */
INLINE double heat_of(int kind, struct own own, struct hour hour, double *fuel, double *burnt, double *lit, double given, double direct,
                      struct others others, struct state at)
{
    if (FIRE(kind)) return fire(own, hour, fuel, burnt, lit, given, others, at);
    if (SUN(kind)) return sun(own, hour, given, direct, at);
    if (!TOLD(kind)) return 0.0;
    const double goal = lower(at.top, higher(at.need, hour.target));
    return lower(higher((goal - at.idle) * at.per_rise + at.call - given, 0.0), hour.most);
}

/* What goes in for that heat. */
INLINE double input_of(int kind, struct own own, double heat, double burnt, double per)
{
    const double input = (FIRE(kind) ? burnt : heat) * per;
    return kind == 4 ? input / (1.0 - own.cycling * (1.0 - lower(heat * own.per_fire, 1.0))) : input;
}

INLINE double auxiliary_of(int kind, struct own own, double heat)
{
    const double running = kind == 4 ? lower(heat * own.per_fire, 1.0) : 1.0;
    return kind == 0 ? 0.0 : own.share * heat + (heat > ROUNDING ? own.watts * running : 0.0);
}

INLINE struct hour hour_of(const double *h, long n)
{
    const struct hour hour = {h[0], h[n], h[2 * n], h[3 * n], h[4 * n], h[5 * n]};
    return hour;
}

/* hours: room, degrees; then of each source capacity, target, charge, ahead, until, one over heat per input -- each (n,)
   plant: keep, rise, resistance, top, start, limit, pump
   source: slope, degradation, one over smallest fire, standby, auxiliary share, auxiliary watts, burning, least charge
   lanes: loss, shift, then one over the factor on heat per input of each source -- (blocks, 2 + COUNT, W)
   first: first hour of each piece, of one month, order and price period, and the end; place: its row in energy; slots: which
   source gives first, second and third in it -- (pieces, 3)
   sums: (blocks, SUMS + COUNT, W); energy: (blocks, COUNT + 1, rows, W) */
void years(long n, long blocks, long pieces, long rows, const long *first, const long *place, const long *slots,
           const double *restrict hours, const double *restrict plant, const double *restrict source,
           const double *restrict lanes, double *restrict sums, double *restrict energy)
{
    const double keep = plant[0], rise = plant[1], resistance = plant[2], top = plant[3], limit = plant[5], pump = plant[6];
    const double per_rise = 1.0 / rise, per_both = 1.0 / (resistance + rise);
    const double per_resistance = resistance > 0.0 ? 1.0 / resistance : 0.0;
    const struct own *owns = (const struct own *)source;
    for (long b = 0; b < blocks; b++) {
        const double *loss = lanes + b * (2 + COUNT) * W, *shift = loss + W;
        double *out = sums + b * (SUMS + COUNT) * W;
        double tank[W], wanted[W], given_j[W], unmet_j[W], short_h[W], worst[W], fuel[3][W], season[3][W];
        double used[4][W], coldest = 1e3;
        for (int l = 0; l < W; l++) {
            tank[l] = plant[4];
            wanted[l] = given_j[l] = unmet_j[l] = short_h[l] = worst[l] = 0.0;
            for (int i = 0; i < 3; i++) fuel[i][l] = 0.0;
        }
        for (long r = 0; r < (COUNT + 1) * rows * W; r++) energy[b * (COUNT + 1) * rows * W + r] = 0.0;
        for (long r = 0; r < (SUMS + COUNT) * W; r++) out[r] = 0.0;
        for (long s = 0; s < pieces; s++) {
            const long in[3] = {slots[3 * s], slots[3 * s + 1], slots[3 * s + 2]};
            /* all of it read before the lanes, since a load under a condition would have to be masked */
            const struct own own0 = owns[in[0]], own1 = owns[in[1]], own2 = owns[in[2]];
            for (int i = 0; i < 4; i++)
                for (int l = 0; l < W; l++) used[i][l] = 0.0;
            for (int i = 0; i < 3; i++)
                for (int l = 0; l < W; l++) season[i][l] = 0.0;
            for (long t = first[s]; t < first[s + 1]; t++) {
                const double room = hours[t], degrees = hours[n + t];
                const double *h = hours + 2 * n + t;
                const struct hour hour0 = hour_of(h + 6 * n * in[0], n), hour1 = hour_of(h + 6 * n * in[1], n);
                const struct hour hour2 = hour_of(h + 6 * n * in[2], n);
                const double aid0 = TOLD(KIND0) ? hour0.most : 0.0, aid1 = aid0 + (TOLD(KIND1) ? hour1.most : 0.0);
                const double aid = aid1 + (TOLD(KIND2) ? hour2.most : 0.0);
                coldest = lower(coldest, room);
#pragma GCC ivdep
                for (int l = 0; l < W; l++) {
                    const double full = loss[l] * higher(0.0, degrees + shift[l]), asked = lower(full, limit);
                    const double head = top - room, call = asked * resistance > head ? higher(0.0, head) * per_resistance : asked;
                    const double idle = room + keep * (tank[l] - room);
                    const struct state at = {call, idle, room + call * resistance, room, (top - idle) * per_rise,
                                             rise, per_rise, resistance, top, aid};
                    double burnt0 = 0.0, burnt1 = 0.0, burnt2 = 0.0, lit0 = 0.0, lit1 = 0.0, lit2 = 0.0;
                    const double fuel0 = fuel[0][l], fuel1 = fuel[1][l], fuel2 = fuel[2][l];
                    const struct others beside0 = others_of(own0, hour0, KIND1, own1, fuel1, KIND2, own2, fuel2);
                    const double heat0 = heat_of(KIND0, own0, hour0, &fuel[0][l], &burnt0, &lit0, 0.0, 0.0, beside0, at);
                    const double direct0 = SUN(KIND0) ? 0.0 : heat0;
                    const struct others beside1 = others_of(own1, hour1, KIND0, own0, fuel0 + lit0, KIND2, own2, fuel2);
                    const double heat1 = heat_of(KIND1, own1, hour1, &fuel[1][l], &burnt1, &lit1, heat0, direct0, beside1, at);
                    const double direct1 = direct0 + (SUN(KIND1) ? 0.0 : heat1);
                    const struct others beside2 = others_of(own2, hour2, KIND0, own0, fuel0 + lit0, KIND1, own1, fuel1 + lit1);
                    const double heat2 = heat_of(KIND2, own2, hour2, &fuel[2][l], &burnt2, &lit2, heat0 + heat1, direct1, beside2, at);
                    const double direct = direct1 + (SUN(KIND2) ? 0.0 : heat2), given = heat0 + heat1 + heat2;
                    const double flow = (idle - room + rise * given) * per_both;
                    const double delivered = lower(call, higher(direct, flow)), missing = full - delivered;
                    const double part = call / higher(higher(call, lower(flow, limit)), 1e-9);
                    const double duty = PUMPS && delivered > ROUNDING ? part : 0.0;
                    tank[l] = idle + rise * (given - delivered);
                    wanted[l] += full;
                    given_j[l] += delivered;
                    unmet_j[l] += missing > ROUNDING ? missing : 0.0;
                    short_h[l] += missing > ROUNDING ? 1.0 : 0.0;
                    worst[l] = higher(worst[l], missing > ROUNDING ? missing : 0.0);
                    season[0][l] += heat0;
                    season[1][l] += heat1;
                    season[2][l] += heat2;
                    used[0][l] += input_of(KIND0, own0, heat0, burnt0, hour0.per);
                    used[1][l] += input_of(KIND1, own1, heat1, burnt1, hour1.per);
                    used[2][l] += input_of(KIND2, own2, heat2, burnt2, hour2.per);
                    used[3][l] += pump * duty + auxiliary_of(KIND0, own0, heat0) + auxiliary_of(KIND1, own1, heat1)
                                  + auxiliary_of(KIND2, own2, heat2);
                }
            }
            const double length = (double)(first[s + 1] - first[s]);
            for (int i = 0; i <= COUNT; i++) {
                const long k = i < COUNT ? in[i] : COUNT;
                double *row = energy + ((b * (COUNT + 1) + k) * rows + place[s]) * W;
                const double standby = i < COUNT ? owns[k].standby * length : 0.0;
                for (int l = 0; l < W; l++) {
                    row[l] += (used[i < COUNT ? i : 3][l] * (i < COUNT ? loss[(2 + k) * W + l] : 1.0) + standby) * HOUR_S;
                    if (i < COUNT) out[(SUMS + k) * W + l] += season[i][l] * HOUR_S;
                }
            }
        }
        for (int l = 0; l < W; l++) {
            out[SUM_DEMAND * W + l] = wanted[l] * HOUR_S;
            out[SUM_DELIVERED * W + l] = given_j[l] * HOUR_S;
            out[SUM_SHORT * W + l] = unmet_j[l] * HOUR_S;
            out[SHORT_HOURS * W + l] = short_h[l];
            out[WORST_SHORT * W + l] = worst[l];
            out[LOWEST_ROOM * W + l] = coldest;
        }
    }
}
