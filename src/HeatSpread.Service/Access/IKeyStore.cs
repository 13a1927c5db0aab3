namespace HeatSpread.Service.Access;

/// <summary>The API keys: in a file of the data folder, or in a bucket that all processes share.</summary>
internal interface IKeyStore
{
    /// <summary>Oldest first.</summary>
    IReadOnlyList<ApiKey> All { get; }

    ApiKey? Find(string id);

    void Add(ApiKey key);

    /// <returns>False where there was none of that id.</returns>
    bool Remove(string id);
}
