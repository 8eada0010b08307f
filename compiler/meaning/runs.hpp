// One network block of a job being taken apart into points, legs and runs. Internal to this folder.
#pragma once
#include "meaning/checker.hpp"

namespace dripleg::meaning {
class Runs {
 public:
  Runs(Checker& checker, const PendingNetwork& pending);
  void read_block(Cursor block);
  void assemble();

 private:
  struct End { ThingId point; ThingId thing; u32 number = 0; };
  struct Edge { ThingId leg, from, to; Cursor where; bool plain; };
  struct Point { ThingId thing; std::vector<u32> edges; ThingId root; bool reached; };
  struct Junction { ThingId point; Cursor first; u32 uses = 0; };
  struct Take {
    Cursor run, as, like, block;
    std::vector<Cursor> values, fittings;
  };
  struct Like { ThingId run; Cursor node; std::unordered_set<u32> given; };

  const Join* join_of(ThingId thing, std::string_view port, Cursor where, bool entering, u16& slot);
  ThingId new_point(ClassId cls, NameId point_name, base::Place place, ThingId owner);
  ThingId new_leg(KindId kind, ClassId cls, NameId leg_name, base::Place place, ThingId owner, ThingId from, ThingId to, Cursor where, bool plain);
  ThingId port_point(ThingId thing, const Join& join, u16 slot, Cursor where);
  std::vector<End> ends_of(Cursor place, bool entering);
  void fill_run(Checker::Block& block, const std::vector<Cursor>& values, Cursor run);
  void fill_length(Checker::Block& block, Cursor length);
  void add_fittings(Checker::Block& block, Cursor fittings);
  std::optional<ThingId> fitting_named(std::string_view word, Cursor where);
  bool is_root(ThingId point) const;
  bool comma_missing(Cursor value, Cursor run);
  void check_sizes(const Thing& thing);
  void check_size(const Thing& thing, u32 slot, ThingId made_of, const std::vector<std::string_view>& sizes);
  std::optional<std::vector<std::string_view>> sizes_of(ThingId id_of) const;
  void read_run(Cursor run);
  void make_run(const std::vector<Cursor>& places, Cursor length, const Take& take);
  ClassId joint_class();
  void copy_likes();
  void check_junctions();
  // assembly.cpp
  void list_members();
  void link_tree();
  void fill_unlinked();
  void reach_from(u32 root);
  std::vector<ThingId> parting_runs(const Point& point, std::size_t& ends) const;
  void add_junction_fittings();

  Checker& c;
  Program& program;
  ThingId net_thing;
  NetworkId id;
  Network network;
  const SourceTree& unit;
  ClassId joint;
  std::vector<Edge> edges;
  std::vector<Point> points;
  std::unordered_map<u32, u32> point_number;       // ThingId → place in points
  std::unordered_map<u32, Junction> junctions;     // NameId → junction; looked up, never iterated
  std::vector<NameId> junction_order;
  std::unordered_set<u32> run_names, broken;
  std::vector<Like> likes;
  bool torn = false;                               // a ring or a second root was told of: what follows from it is not
};
}  // namespace dripleg::meaning
