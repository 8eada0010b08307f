// Names for the records of the checked program: one typed index for each pool, and a stretch of a pool.
// An index belongs to the program it was made for; none is given until something is put in its place.
#pragma once
#include "base/ids.hpp"

namespace dripleg::meaning {
using TypeId = Id<struct TypeTag>;
using KindId = Id<struct KindTag>;
using FieldId = Id<struct FieldTag>;
using ThingId = Id<struct ThingTag>;
using ClassId = Id<struct ClassTag>;
using ExprId = Id<struct ExprTag>;
using FunctionId = Id<struct FunctionTag>;
using TableId = Id<struct TableTag>;
using ShapeId = Id<struct ShapeTag>;
using NetworkId = Id<struct NetworkTag>;
using JoinId = Id<struct JoinTag>;
using ConditionId = Id<struct ConditionTag>;
using CaseId = Id<struct CaseTag>;
using RuleId = Id<struct RuleTag>;
using LimitId = Id<struct LimitTag>;
using DocumentId = Id<struct DocumentTag>;
using CitationId = Id<struct CitationTag>;
using CodeSetId = Id<struct CodeSetTag>;
using LayoutId = Id<struct LayoutTag>;
using TextId = NameId;          // texts are interned like names
using VariableId = Id<struct VariableTag>;
using HoleId = Id<struct HoleTag>;

// A stretch of another pool.
struct Slice {
  u32 first = 0;
  u32 count = 0;
};
}  // namespace dripleg::meaning
