namespace HeatSpread.Boards;

/// <summary>The outline, checked and made ready for questions of what lies on the board.</summary>
internal static class OutlineBuilder
{
    /// <returns>Null where the outline has a fault: nothing can then be said of what lies on it.</returns>
    public static OutlineIndex? Build(Region outline, JsonPointer at, Plan plan)
    {
        if (plan.Faults.IsUnreadable(at) || !plan.CheckRegion(outline, at)) return null;
        if (plan.FindOverlap(outline) is { } overlap)
        {
            plan.Faults.Add(at["coordinates"], overlap);
            return null;
        }
        return new OutlineIndex(outline, plan.Tolerance);
    }
}
